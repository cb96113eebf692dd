// Reads drill and rout files with gerber-parser, an outside reader, and prints what it understands
// as JSON, in mm:
//   [{"file": …, "warnings": […],
//     "holes": [{"d": …, "x": …, "y": …}], "slots": [{"d": …, "x1": …, "y1": …, "x2": …, "y2": …, "how": "i"}]}]
// how is "i" for a straight slot, "cw" or "ccw" for an arc, which then has the words i, j or a.
//
// The reader takes both kinds of slots: G85, and G00 M15 G01 M16. It was measured on the open boards:
// every one of their slots is there. One thing it does not know: that G05 goes back to drilling, so
// that holes after a routed slot would come out as more routing. Such files are therefore handed to
// it in pieces, each with the file's header and the tool in force: what is in a piece, it alone reads.
import fs from 'node:fs'
import gerberParser from 'gerber-parser'

const UNIT = { mm: 1, in: 25.4 }

// pieces cuts a file's body after each routed slot or run of slots that a G05 ends.
function pieces (text) {
  const lines = text.split(/\r\n|\r|\n/)
  const end = lines.findIndex((l, i) => i > 0 && (l === '%' || l === 'M95'))
  const header = lines.slice(0, end + 1)
  const out = []
  let piece = []
  let routed = false
  let tool = ''
  for (const line of lines.slice(end + 1)) {
    if (line === 'G05' && routed) {
      out.push([...header, 'G90', 'G05', ...piece, 'M30'].join('\n') + '\n')
      piece = tool ? [tool] : []
      routed = false
      continue
    }
    if (/^T\d+$/.test(line)) tool = line
    if (/^G0[0123]/.test(line)) routed = true
    piece.push(line)
  }
  out.push([...header, 'G90', 'G05', ...piece].join('\n') + '\n')
  return out
}

function read (text, into) {
  return new Promise((resolve, reject) => {
    const parser = gerberParser({ filetype: 'drill' })
    const tools = {}
    let unit = 1
    let tool = null
    let at = { x: 0, y: 0 }
    let how = 'i'
    parser.on('warning', w => { into.warnings.add(w.message) })
    parser.on('error', reject)
    parser.on('data', o => {
      if (o.type === 'set' && o.prop === 'units') unit = UNIT[o.value]
      if (o.type === 'tool') tools[o.code] = o.tool.params[0]
      if (o.type === 'set' && o.prop === 'tool') tool = o.value
      if (o.type === 'set' && o.prop === 'mode') how = o.value
      if (o.type !== 'op') return
      const to = { x: o.coord.x ?? at.x, y: o.coord.y ?? at.y }
      const d = tools[tool] * unit
      if (o.op === 'flash') into.holes.push({ d, x: to.x * unit, y: to.y * unit })
      if (o.op === 'int') {
        const s = { d, x1: at.x * unit, y1: at.y * unit, x2: to.x * unit, y2: to.y * unit, how }
        for (const w of ['i', 'j', 'a']) if (o.coord[w] !== undefined) s[w] = o.coord[w] * unit
        into.slots.push(s)
      }
      at = to
    })
    parser.on('end', resolve)
    parser.end(text)
  })
}

const out = []
for (const file of process.argv.slice(2)) {
  const into = { holes: [], slots: [], warnings: new Set() }
  for (const piece of pieces(fs.readFileSync(file, 'utf8'))) await read(piece, into)
  out.push({ file, warnings: [...into.warnings], holes: into.holes, slots: into.slots })
}
process.stdout.write(JSON.stringify(out) + '\n')
