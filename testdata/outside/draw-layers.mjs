// Draws layer and drill files with gerber-to-svg (gerber-parser and gerber-plotter), an outside
// reader, and prints what became of each as JSON:
//   [{"file": …, "svg": …, "unit": "mm", "box": [x, y, width, height], "warnings": […], "error": …}]
// Arguments: the folder that the pictures go into, then "layer" or "drill" and a file, again and again.
// svg is the picture's name in that folder; box is its viewBox, in thousandths of the unit. Within the picture
// y points up after one turn upside down: what lies at y in the file is at 2 × box.y + height − y.
import fs from 'node:fs'
import path from 'node:path'
import toSVG from 'gerber-to-svg'

function draw (file, filetype, id, dir) {
  return new Promise(resolve => {
    const out = { file, svg: '', unit: '', box: [0, 0, 0, 0], warnings: [], error: '' }
    const seen = new Set()
    try {
      const filetypeName = filetype === 'drill' ? 'drill' : 'gerber'
      const c = toSVG(fs.readFileSync(file, 'latin1'), { id, filetype: filetypeName }, (err, svg) => {
        if (err) {
          out.error = String(err.message ?? err)
          return resolve(out)
        }
        out.svg = id + '.svg'
        out.unit = c.units
        out.box = c.viewBox
        out.warnings = [...seen]
        fs.writeFileSync(path.join(dir, out.svg), svg)
        resolve(out)
      })
      c.on('warning', w => { seen.add(w.message) })
    } catch (err) {
      out.error = String(err.message ?? err)
      resolve(out)
    }
  })
}

const [dir, ...rest] = process.argv.slice(2)
const out = []
for (let i = 0; i + 1 < rest.length; i += 2) {
  out.push(await draw(rest[i + 1], rest[i], 'p' + i / 2, dir))
}
process.stdout.write(JSON.stringify(out) + '\n')
