// Reads the layer files named on the command line, one after another, with gerber-parser, an outside
// reader, and prints as JSON how many commands it made of them and the most memory it held:
//   {"things": …, "warnings": …, "peak": …}    peak in bytes, 0 where the system does not say
//
// The first argument is "stream" (each file is piped through it) or "sync" (each file is read whole
// and handed over at once). Nothing is kept: what it makes of a file is counted and let go.
import fs from 'node:fs'
import gerberParser from 'gerber-parser'

const [how, ...files] = process.argv.slice(2)
let things = 0
let warnings = 0

for (const file of files) {
  const parser = gerberParser({ filetype: 'gerber' })
  parser.on('warning', () => { warnings++ })
  if (how === 'sync') {
    things += parser.parseSync(fs.readFileSync(file, 'utf8')).length
    continue
  }
  await new Promise((resolve, reject) => {
    parser.on('data', () => { things++ })
    parser.on('end', resolve)
    parser.on('error', reject)
    fs.createReadStream(file).on('error', reject).pipe(parser)
  })
}

let peak = 0
try {
  peak = 1024 * Number(/^VmHWM:\s*(\d+) kB$/m.exec(fs.readFileSync('/proc/self/status', 'utf8'))?.[1] ?? 0)
} catch {}
console.log(JSON.stringify({ things, warnings, peak }))
