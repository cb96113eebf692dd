// Holds logs in the format SARIF 2.1.0 against its published JSON schema, which the package
// @microsoft/jest-sarif carries, and prints for each file what does not fit, as JSON:
//   [{"file": …, "faults": ["…"]}]
import fs from 'node:fs'
import { createRequire } from 'node:module'
import Ajv from 'ajv'

const require = createRequire(import.meta.url)
const schema = require('@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json')
const ajv = new Ajv({ schemaId: 'id', meta: false, allErrors: true, format: 'full' })
ajv.addMetaSchema(require('ajv/lib/refs/json-schema-draft-04.json'))
const fits = ajv.compile(schema)

console.log(JSON.stringify(process.argv.slice(2).map(file => {
  const ok = fits(JSON.parse(fs.readFileSync(file, 'utf8')))
  return { file, faults: ok ? [] : fits.errors.map(e => `${e.dataPath} ${e.message}`) }
})))
