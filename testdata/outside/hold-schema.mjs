// Holds JSON files against a JSON Schema (2020-12) by the validator ajv. The first argument is the schema; it prints for each of
// the others what does not fit, as JSON: [{"file": …, "faults": ["…"]}]. A schema that is none, or that is loosely written, is an
// error.
import fs from 'node:fs'
import Ajv from 'ajv-2020/dist/2020.js'

const read = file => JSON.parse(fs.readFileSync(file, 'utf8'))
const ajv = new Ajv.default({ strict: true, strictRequired: false, allowUnionTypes: true, allErrors: true, validateSchema: true })
const fits = ajv.compile(read(process.argv[2]))

console.log(JSON.stringify(process.argv.slice(3).map(file => {
  const ok = fits(read(file))
  return { file, faults: ok ? [] : fits.errors.map(e => `${e.instancePath} ${e.message}`) }
})))
