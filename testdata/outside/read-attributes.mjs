// Reads layer and drill files and prints what outside readers understand of their attributes, as JSON:
//   [{"file": …, "attributes": {".Part": ["Array"], …},          of the file
//     "tools": [{"id": "D10", "shape": "circle", "size": 1, "attributes": {".AperFunction": […]}}],
//     "flashes": [{"tool": "D10", "x": …, "y": …, "object": {…}}],   in mm; object: the object's own attributes
//     "strokes": [{"tool": "D10", "x1": …, "y1": …, "x2": …, "y2": …, "object": {…}}],
//     "unread": ["%TD*%", …]}]
//
// Layer files are parsed by gerbis, whose grammar is that of the layer format's specification (2022.02): it knows the
// commands TF, TA, TO and TD, the standard's own attribute names, and takes their values apart; a name that the
// standard reserves and does not have is a syntax error to it. What follows here is only what the specification
// says of attributes: TF sets one of the file, TA one that every aperture defined from then on has, TO one that
// every object drawn from then on has; TD takes one away, or all but those of the file.
//
// What is found out about gerbis 1.0.3: it makes every result that its grammar allows, which takes a second for 100 KB; it
// fails on TD without a name, on macros of several primitives or with a sign, and on apertures that are macros
// without parameters. So it is handed a file in pieces of some commands each, and what it cannot read is told in
// unread, once for each command; that must be nothing but those three. A TD without a name is then carried out here.
// It also reads the number of decimals of x from the wrong place of FS; those of y are right, and the two are equal.
//
// Drill files carry the same commands in remarks (; #@! TA…): each is parsed by gerbis, and the file by gerber-parser,
// which gives tools and holes with the lines that they stand in.
import fs from 'node:fs'
import gerbis from 'gerbis'
import gerberParser from 'gerber-parser'

const { parseGerber } = gerbis
const UNIT = { MM: 1, IN: 25.4 }

// State is what attributes hold while a file is gone through.
class State {
  constructor () { Object.assign(this, { file: {}, aperture: {}, object: {} }) }

  take (c) {
    const values = (c.values ?? []).map(v => v.replace(/\\u([0-9A-F]{4})/gi, (_, h) => String.fromCharCode(parseInt(h, 16))))
    if (c.command_code === 'TF') this.file[c.name] = values
    if (c.command_code === 'TA') this.aperture = { ...this.aperture, [c.name]: values }
    if (c.command_code === 'TO') this.object = { ...this.object, [c.name]: values }
    if (c.command_code === 'TD') {
      const name = [c.name ?? []].flat()[0]
      const without = from => name === undefined ? {} : Object.fromEntries(Object.entries(from).filter(([k]) => k !== name))
      this.aperture = without(this.aperture)
      this.object = without(this.object)
    }
  }
}

// pieces parts a file between commands: single ones that gerbis may fail on, some others together. Regions stay whole.
function pieces (text) {
  const commands = text.replace(/[\r\n]/g, '').match(/%[^%]*%|[^*%]*\*/g) ?? []
  const out = []
  let piece = []
  let region = false
  const flush = () => { if (piece.length) out.push(piece.join('')); piece = [] }
  for (const c of commands) {
    if (c === 'G36*') region = true
    if (c === 'G37*') region = false
    if (c === '%TD*%' || /^%A[MD]/.test(c)) {
      flush()
      out.push(c)
      continue
    }
    piece.push(c)
    if (piece.length >= 40 && !region) flush()
  }
  flush()
  return out
}

function readLayer (text) {
  const s = new State()
  const tools = []
  const flashes = []
  const strokes = []
  const unread = []
  let unit = 1
  let tool = null
  let at = { x: 0, y: 0 }
  let digits = 6
  for (const piece of pieces(text)) {
    let parsed
    try {
      parsed = parseGerber(piece)
      if (!Array.isArray(parsed)) throw new Error('nothing came of it')
    } catch (e) {
      unread.push(piece)
      if (piece === '%TD*%') s.take({ command_code: 'TD' })
      const id = /^%AD(D\d+)/.exec(piece)?.[1]
      if (id) tools.push({ id, shape: 'unread', size: 0, attributes: s.aperture })
      continue
    }
    for (const c of parsed) {
      const scale = unit / 10 ** digits
      switch (c.command_code) {
        case 'MO': unit = UNIT[c.unit]; break
        case 'FS': digits = c.y_fractional_digits; break
        case 'TF': case 'TA': case 'TO': case 'TD': s.take(c); break
        case 'AD': tools.push({ id: c.aperture_identifier, shape: c.type, size: (c.diameter ?? c.width ?? 0) * unit, attributes: s.aperture }); break
        case 'Dnn': tool = c.aperture_identifier; break
        case 'D01': case 'D02': case 'D03': {
          const to = { x: c.x ?? at.x, y: c.y ?? at.y }
          const mm = p => [p.x * scale, p.y * scale]
          if (c.command_code === 'D03') flashes.push({ tool, x: mm(to)[0], y: mm(to)[1], object: s.object })
          if (c.command_code === 'D01') strokes.push({ tool, x1: mm(at)[0], y1: mm(at)[1], x2: mm(to)[0], y2: mm(to)[1], object: s.object })
          at = to
        }
      }
      if (c.type === 'region_statement') at = [c.contour].flat(3).filter(o => o?.x !== undefined).at(-1) ?? at
    }
  }
  return { attributes: s.file, tools, flashes, strokes, unread }
}

function readDrill (text) {
  const s = new State()
  const unread = []
  const states = text.split(/\r\n|\r|\n/).map(line => {
    const command = /^; #@! (.*)$/.exec(line)?.[1]
    if (command !== undefined) {
      try {
        for (const c of parseGerber(`%${command}*%`)) s.take(c)
      } catch (e) {
        unread.push(`%${command}*%`)
        if (command === 'TD') s.take({ command_code: 'TD' })
      }
    }
    return s.aperture
  })
  const tools = []
  const flashes = []
  let unit = 1
  let tool = null
  let at = { x: 0, y: 0 }
  return new Promise((resolve, reject) => {
    const parser = gerberParser({ filetype: 'drill' })
    parser.on('error', reject)
    parser.on('data', o => {
      if (o.type === 'set' && o.prop === 'units') unit = { mm: 1, in: 25.4 }[o.value]
      if (o.type === 'tool') tools.push({ id: 'T' + o.code, shape: o.tool.shape, size: o.tool.params[0] * unit, attributes: states[o.line - 1] ?? {} })
      if (o.type === 'set' && o.prop === 'tool') tool = 'T' + o.value
      if (o.type !== 'op') return
      at = { x: o.coord.x ?? at.x, y: o.coord.y ?? at.y }
      if (o.op === 'flash') flashes.push({ tool, x: at.x * unit, y: at.y * unit, object: {} })
    })
    parser.on('end', () => resolve({ attributes: s.file, tools, flashes, strokes: [], unread }))
    parser.end(text)
  })
}

const out = []
for (const file of process.argv.slice(2)) {
  const text = fs.readFileSync(file, 'utf8')
  out.push({ file, ...(file.endsWith('.drl') ? await readDrill(text) : readLayer(text)) })
}
process.stdout.write(JSON.stringify(out) + '\n')
