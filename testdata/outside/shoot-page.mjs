// Takes pictures of the top of pages in a browser. What to open stands on standard input as JSON: {"browser": …, "font":
// "base64 of a TrueType font", "pages": [{"file": …, "to": "x.png", "dark": false, "width": 1280, "height": 1800}]}. Pages are
// set in the font given, so that their pictures do not depend on which fonts a machine has.
import fs from 'node:fs'
import { pathToFileURL } from 'node:url'
import { chromium } from 'playwright-core'

const asked = JSON.parse(fs.readFileSync(0, 'utf8'))
const browser = await chromium.launch({ executablePath: asked.browser, args: ['--no-sandbox', '--disable-gpu', '--force-color-profile=srgb'] })
for (const x of asked.pages) {
  const context = await browser.newContext({ viewport: { width: x.width, height: x.height }, colorScheme: x.dark ? 'dark' : 'light', reducedMotion: 'reduce', bypassCSP: true })
  const page = await context.newPage()
  page.setDefaultTimeout(120000)
  await page.goto(pathToFileURL(x.file).href, { waitUntil: 'load' })
  await page.addStyleTag({ content: `@font-face { font-family: given; src: url(data:font/ttf;base64,${asked.font}) } * { font-family: given !important }` })
  await page.evaluate(() => document.fonts.load('16px given').then(() => document.fonts.ready))
  await page.screenshot({ path: x.to })
  await context.close()
}
await browser.close()
