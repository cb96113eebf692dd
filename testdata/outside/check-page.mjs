// Opens pages that the program writes in a browser, as people do, and says what is wrong with them. What to open stands
// on standard input as JSON: {"browser": "/usr/bin/chromium", "pages": [{"name": …, "file": …, "kind": "report", "only": […],
// "full": true, "pictures": "folder"}]}. "kind" is the report of a build or "compare", the page of two builds; "only" names
// the ways to open it in, all of its kind where it is missing; "full" tries every layer of every picture; "pictures"
// takes screenshots into the folder. The answer is [{"name": …, "did": ["…"], "faults": ["…"], "took": {"…": ms}}].
import fs from 'node:fs'
import path from 'node:path'
import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import { chromium } from 'playwright-core'

const require = createRequire(import.meta.url)
const axe = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8')
const asked = JSON.parse(fs.readFileSync(0, 'utf8'))

const browser = await chromium.launch({ executablePath: asked.browser, args: ['--no-sandbox', '--disable-gpu', '--force-color-profile=srgb'] })
const judge = await (await browser.newContext()).newPage()
// Two at a time: while one page is painted, the other may be waited for.
const answers = [], todo = asked.pages.map((page, i) => ({ page, i }))
await Promise.all([0, 1].map(async () => {
  for (let next = todo.shift(); next; next = todo.shift()) answers[next.i] = await check(next.page)
}))
await browser.close()
console.log(JSON.stringify(answers))

// unlike counts the dots in which two pictures differ clearly. What is painted twice differs faintly along its edges.
function unlike(a, b) {
  return judge.evaluate(async pictures => {
    const [a, b] = await Promise.all(pictures.map(async p => {
      const image = await createImageBitmap(await (await fetch('data:image/png;base64,' + p)).blob())
      const c = new OffscreenCanvas(image.width, image.height).getContext('2d')
      c.drawImage(image, 0, 0)
      return c.getImageData(0, 0, image.width, image.height)
    }))
    if (a.width !== b.width || a.height !== b.height) return a.width * a.height
    let n = 0
    for (let i = 0; i < a.data.length; i += 4) {
      if (Math.max(...[0, 1, 2].map(k => Math.abs(a.data[i + k] - b.data[i + k]))) > 24) n++
    }
    return n
  }, [a.toString('base64'), b.toString('base64')])
}

async function check(asked) {
  const did = [], faults = [], took = {}
  const url = pathToFileURL(asked.file).href
  const fault = text => faults.push(text.slice(0, 400))
  const must = (ok, text) => { if (!ok) fault(text) }

  // open opens the page with the browser set as given, runs what, and tells of requests and of what the console says.
  async function open(how, settings, what) {
    if (asked.only && !asked.only.includes(how)) return
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, reducedMotion: 'reduce', ...settings })
    await context.route('**', route => {
      const wants = route.request().url()
      if (wants.split('#')[0] === url) return route.continue()
      fault(`${how}: asks for ${wants}`)
      return route.abort()
    })
    const page = await context.newPage(), begun = Date.now()
    page.setDefaultTimeout(20000)
    page.on('console', m => { if (['error', 'warning', 'assert'].includes(m.type())) fault(`${how}: the console says (${m.type()}) ${m.text()}`) })
    page.on('pageerror', e => fault(`${how}: script: ${e.message}`))
    page.on('websocket', w => fault(`${how}: opens ${w.url()}`))
    try {
      await page.goto(url, { waitUntil: 'load' })
      await what(page, context)
      did.push(how)
    } catch (e) {
      fault(`${how}: ${String(e.message).split('\n')[0]}`)
    }
    took[how] = Date.now() - begun
    await context.close()
  }

  const shot = (page, name, options) => asked.pictures ? page.screenshot({ path: path.join(asked.pictures, `${asked.name}-${name}.png`), ...options }) : null
  const view = stage => stage.locator('svg.panel').getAttribute('viewBox').then(v => v.split(' ').map(Number))
  const differ = (a, b) => a.some((v, i) => Math.abs(v - b[i]) > 1e-6)

  // Every layer that can be switched changes what is painted, and back.
  async function layers(page, pic, boxes) {
    const stage = page.locator(`#${pic} .stage`), all = page.locator(`#${pic} [data-layer]`)
    const names = await all.evaluateAll(list => list.map(x => x.dataset.layer))
    must(names.length > 5, `${pic}: offers few layers: ${names}`)
    await stage.scrollIntoViewIfNeeded()
    const top = await page.evaluate(() => scrollY)
    const painted = async () => { // at the same place of the screen, for a picture is painted anew wherever it lies
      await page.mouse.move(0, 0)
      await page.evaluate(y => scrollTo(0, y), top)
      return stage.screenshot()
    }
    const before = await painted()
    let least = Infinity
    for (let i = 0; i < names.length; i++) {
      if (boxes && !boxes.includes(names[i])) continue
      if (names[i] === 'findings' && !(await page.locator(`#${pic} a.mark`).count())) continue
      await all.nth(i).click()
      const changed = await unlike(before, await painted())
      must(changed > 5, `${pic}: layer ${names[i]} changes nothing`)
      least = Math.min(least, changed)
      await all.nth(i).click()
    }
    must(await unlike(before, await painted()) <= Math.max(20, least / 10), `${pic}: layers that were switched off and on again do not come back`)
  }

  async function zooming(page, id) {
    const pic = page.locator('#' + id), stage = pic.locator('.stage')
    await stage.scrollIntoViewIfNeeded()
    const all = await view(stage)
    const is = async (what, test) => { const v = await view(stage); must(test(v), `${id}: ${what}: shows ${v} of ${all}`); return v }
    await pic.getByRole('button', { name: 'Larger' }).click()
    await is('button +', v => v[2] < all[2] * .9 && v[0] > all[0])
    await pic.getByRole('button', { name: 'Smaller' }).click()
    await is('button −', v => !differ(v, all))
    await stage.focus()
    await page.keyboard.press('+')
    await page.keyboard.press('+')
    let last = await is('key +', v => v[2] < all[2] * .6)
    for (const [key, test] of [['ArrowRight', v => v[0] > last[0]], ['ArrowLeft', v => v[0] < last[0]], ['ArrowDown', v => v[1] > last[1]], ['ArrowUp', v => v[1] < last[1]], ['-', v => v[2] > last[2]], ['+', v => v[2] < last[2]]]) {
      await page.keyboard.press(key)
      last = await is('key ' + key, test)
    }
    const box = await stage.boundingBox()
    const [cx, cy] = [box.x + box.width / 2, box.y + box.height / 2]
    await page.mouse.move(cx, cy)
    await page.mouse.down()
    await page.mouse.move(cx + 60, cy + 30, { steps: 4 })
    await page.mouse.up()
    last = await is('drag', v => v[0] < last[0] && v[1] < last[1] && v[2] === last[2])
    await page.mouse.wheel(0, -240)
    await page.waitForFunction(([s, w]) => Number(document.querySelector(s).getAttribute('viewBox').split(' ')[2]) < w, [`#${id} svg.panel`, last[2]])
    await stage.focus()
    await page.keyboard.press('0')
    await is('key 0', v => !differ(v, all))
    await page.evaluate(() => { for (let i = 0; i < 40; i++) document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key: '+', bubbles: true, cancelable: true })) })
    await is('as near as it goes', v => v[2] > 0 && v[2] < all[2] / 20)
    await page.keyboard.press('0')
  }

  async function touching(page, context, id) {
    const stage = page.locator(`#${id} .stage`)
    await stage.scrollIntoViewIfNeeded()
    const all = await view(stage), box = await stage.boundingBox(), cdp = await context.newCDPSession(page)
    const [cx, cy] = [box.x + box.width / 2, box.y + box.height / 2]
    const touch = (type, ...points) => cdp.send('Input.dispatchTouchEvent', { type, touchPoints: points.map(([x, y], id) => ({ x, y, id })) })
    await touch('touchStart', [cx - 20, cy], [cx + 20, cy])
    for (let d = 30; d <= 80; d += 10) await touch('touchMove', [cx - d, cy], [cx + d, cy])
    await touch('touchEnd')
    const near = await view(stage)
    must(near[2] < all[2] * .5, `${id}: two fingers: shows ${near} of ${all}`)
    await touch('touchStart', [cx, cy])
    for (let d = 10; d <= 60; d += 10) await touch('touchMove', [cx - d, cy])
    await touch('touchEnd')
    const moved = await view(stage)
    must(moved[0] > near[0] && Math.abs(moved[2] - near[2]) < 1e-3, `${id}: one finger: from ${near} to ${moved}`)
  }

  // From a mark to its row and back, by mouse and by keyboard.
  async function marks(page) {
    const marks = page.locator('a.mark')
    const n = await marks.count()
    const facts = () => page.evaluate(() => {
      const x = document.activeElement, r = x.getBoundingClientRect()
      return { id: x.id, tag: x.tagName, seen: r.bottom > 0 && r.top < innerHeight && r.width > 0, chosen: x.classList.contains('chosen') }
    })
    const rows = await page.locator('.finding').count()
    const numbers = await marks.evaluateAll(list => [...new Set(list.map(x => x.querySelector('text').textContent))])
    must(numbers.length <= rows, 'there are more marks than findings')
    for (const k of [...new Set([0, n - 1])].filter(k => k >= 0)) {
      const mark = marks.nth(k), id = await mark.getAttribute('id'), row = (await mark.getAttribute('href')).slice(1)
      const pic = id.replace(/^mark-/, '').replace(/-\d+$/, '')
      must(((await mark.getAttribute('aria-label')) || '').length > 8, `${id} has no name`)
      await mark.locator('.shape').click({ force: true })
      let at = await facts()
      must(at.id === row && at.seen && at.chosen, `${id}: a click leads to ${JSON.stringify(at)}, not to ${row}`)
      const said = await page.locator(`#${pic} .told`).textContent(), message = await page.locator(`#${row} .message`).textContent()
      must(message.length > 0 && said.includes(message), `${id}: a click does not show what it means, but ${said}`)
      const back = page.locator(`#${row} .to-mark a[href="#${id}"]`)
      await back.click()
      at = await facts()
      must(at.id === id && at.seen, `${row}: its link leads to ${JSON.stringify(at)}, not to ${id}`)
      const v = await view(page.locator(`#${pic} .stage`))
      must(v[2] > 0, `${id}: nothing is shown`)
      // By keyboard alone: Enter on the mark, Tab to the link back, Enter.
      await page.keyboard.press('Enter')
      at = await facts()
      must(at.id === row && at.seen, `${id}: Enter leads to ${JSON.stringify(at)}`)
      for (let i = 0; i < 12; i++) {
        await page.keyboard.press('Tab')
        if (await page.evaluate(id => document.activeElement.getAttribute('href') === '#' + id, id)) break
      }
      const line = await page.evaluate(() => { const s = getComputedStyle(document.activeElement); return s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2 })
      must(line, `${row}: the link that has the focus does not show it`)
      await page.keyboard.press('Enter')
      at = await facts()
      must(at.id === id, `${row}: Enter on its link leads to ${JSON.stringify(at)}`)
    }
    // The marks are met by Tab, in their order, from the picture on.
    if (n > 0) {
      const first = await marks.first().getAttribute('id')
      await page.locator(`#${first.replace(/^mark-/, '').replace(/-\d+$/, '')} .stage`).focus()
      await page.keyboard.press('Tab')
      must((await facts()).id === first, `Tab from the picture leads to ${(await facts()).id}, not to ${first}`)
    }
    return n
  }

  async function filtering(page) {
    const rows = page.locator('#values-table tbody tr'), all = await rows.count()
    await page.locator('[data-filters]').fill('rails')
    const shown = await rows.evaluateAll(list => list.filter(r => r.offsetParent).length)
    must(all > 0 && shown > 0 && shown < all, `of ${all} values the filter shows ${shown}`)
    await page.locator('[data-filters]').fill('')
    must(await rows.evaluateAll(list => list.every(r => r.offsetParent)), 'the filter does not give the values back')
  }

  const unfold = page => page.evaluate(() => document.querySelectorAll('details').forEach(d => { d.open = true }))
  const wide = page => page.evaluate(() => {
    const w = document.documentElement.clientWidth
    const out = [...document.querySelectorAll('body *')].filter(x => x.getBoundingClientRect().right > w + 1 && !x.closest('.scroll, svg, .skip'))
    return document.documentElement.scrollWidth > w ? `${document.documentElement.scrollWidth} px: ${out.slice(0, 3).map(x => x.outerHTML.slice(0, 90))}` : ''
  })
  const ground = page => page.evaluate(() => getComputedStyle(document.body).backgroundColor)
  // What is drawn within a picture has no words of its own and takes axe minutes: of pictures it is given the svg element itself and
  // whatever has a name, a role or a place in the order of Tab, and all that those stand in or hold.
  const lean = page => page.evaluate(() => {
    const told = 'a, title, desc, [role], [tabindex], [aria-label], [aria-labelledby], [aria-hidden]'
    for (const svg of document.querySelectorAll('svg')) {
      for (const x of svg.querySelectorAll('*')) {
        const within = x.isConnected && x.parentElement.closest(told)
        if (x.isConnected && !x.matches(told) && !x.querySelector(told) && (!within || within === svg || within.contains(svg))) x.remove()
      }
    }
    // Of rows that are built alike, with the same classes, five stand for all.
    const seen = new Map()
    for (const row of document.querySelectorAll('tbody tr')) {
      const built = [row, ...row.querySelectorAll('*')].map(x => x.tagName + '.' + x.getAttribute('class') + (x.id && '#') + x.getAttributeNames()).join(' ')
      const key = built + [...document.querySelectorAll('table')].indexOf(row.closest('table'))
      seen.set(key, (seen.get(key) ?? 0) + 1)
      if (seen.get(key) > 5) row.remove()
    }
  })
  async function accessible(page, how) {
    await unfold(page)
    await lean(page)
    await page.evaluate(axe)
    const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }))
    for (const v of found.violations) {
      if (['serious', 'critical'].includes(v.impact)) fault(`${how}: ${v.impact}: ${v.id}: ${v.help}: ${v.nodes.length} times, ${v.nodes[0].html.slice(0, 160)}`)
    }
  }

  // Only opened, where asked for by name: what the page asks for and what the console says.
  if (asked.only) await open('opened', {}, async () => {})

  const grounds = {}
  for (const colorScheme of ['light', 'dark']) {
    await open(`${colorScheme}, wide`, { colorScheme }, async page => {
      grounds[colorScheme] = await ground(page)
      await shot(page, colorScheme, { fullPage: true })
      await accessible(page, colorScheme)
    })
    await open(`${colorScheme}, on a phone`, { colorScheme, viewport: { width: 360, height: 780 }, hasTouch: true, isMobile: true }, async (page, context) => {
      must(!await wide(page), `${colorScheme}, on a phone: the page is wider than the screen: ${await wide(page)}`)
      await unfold(page)
      must(!await wide(page), `${colorScheme}, on a phone, all unfolded: the page is wider than the screen: ${await wide(page)}`)
      if (colorScheme === 'light' && asked.kind !== 'compare') await touching(page, context, 'as-cut-top')
      await shot(page, `${colorScheme}-phone`, { fullPage: false })
    })
  }
  must(asked.only || grounds.light !== grounds.dark, `light and dark look alike: ${grounds.light}`)

  if (asked.kind === 'compare') await compared()
  else await reported()
  return { name: asked.name, did, faults, took }

  async function reported() {
    await open('layers', {}, async page => {
      await layers(page, 'as-cut-top')
      await layers(page, 'at-break-off-bottom', asked.full ? null : ['tabs', 'names'])
      if (asked.full) for (const id of ['as-cut-bottom', 'on-the-line-top', 'on-the-line-bottom', 'at-break-off-top']) await layers(page, id)
    })

    await open('zoom', {}, async page => {
      await zooming(page, 'as-cut-top')
      await zooming(page, 'at-break-off-bottom')
    })

    await open('marks', {}, async page => {
      const before = await ground(page)
      await page.locator('.theme').click()
      must(await ground(page) !== before && await page.locator('.theme').getAttribute('aria-pressed') === 'true', 'the button does not turn the page dark')
      await page.locator('.theme').click()
      must(await ground(page) === before, 'the button does not turn the page light again')
      await filtering(page)
      const n = await marks(page)
      did.push(`${n} marks`)
      await shot(page, 'in-use')
    })

    await open('without scripts', { javaScriptEnabled: false }, async page => {
      // The page's own script does not run; what is asked of it here is asked from outside.
      must(await page.locator('.scripted').evaluateAll(list => list.every(x => !x.offsetParent)), 'what needs a script is shown')
      for (const id of ['as-cut', 'on-the-line', 'at-break-off', 'waivers', 'unchecked', 'values', 'files']) must(await page.locator('#' + id).isVisible(), `${id} is not shown`)
      must(await page.locator('.finding').evaluateAll(list => list.every(x => x.offsetHeight > 0)), 'a finding is not shown')
      must(await page.locator('svg.panel').evaluateAll(list => list.length >= 6 && list.every(x => x.getBoundingClientRect().height > 50)), 'a picture is not shown')
      must(await page.locator('#values-table tbody tr').evaluateAll(list => list.length > 0 && list.every(x => x.offsetHeight > 0)), 'a value is not shown')
      const folded = page.locator('main details:not([open]) > summary')
      for (let n = await folded.count(); n > 0; n--) await folded.first().click()
      must(await page.locator('main td, main dd, main li').evaluateAll(list => list.every(x => x.offsetHeight > 0)), 'something stays hidden when all is unfolded')
      const stage = page.locator('#as-cut-top .stage'), on = await stage.screenshot()
      await page.locator('#as-cut-top [data-layer="mask"]').click()
      must(await unlike(on, await stage.screenshot()) > 5, 'layers cannot be switched without a script')
      const mark = page.locator('a.mark').first()
      if (await mark.count()) {
        await mark.focus()
        await page.keyboard.press('Enter')
        const row = (await mark.getAttribute('href')).slice(1)
        must(await page.locator(`#${row}`).evaluate(x => x.matches(':target')), 'a mark does not lead to its row without a script')
      }
      await shot(page, 'no-script')
    })

    // However dark the page is on the screen, by the system or by its button, paper is white and letters on it are dark.
    await open('printed', { colorScheme: 'dark' }, async page => {
      const light = rgb => Math.max(...rgb.match(/\d+/g).slice(0, 3).map(Number))
      for (const way of ['by the system', 'by the button']) {
        await page.emulateMedia({ media: 'print' })
        must(await ground(page) === 'rgb(255, 255, 255)', `print has a ground of ${await ground(page)}, dark ${way}`)
        const pale = await page.evaluate(() => ['h1', 'h2', '.of', '.state', 'summary', 'td', 'dt', 'dd', 'a', 'code'].map(s => [s, document.querySelector(s)]).filter(x => x[1]).map(x => [x[0], getComputedStyle(x[1]).color]))
        for (const [what, colour] of pale) must(light(colour) < 170, `print has letters of ${colour} in ${what}, dark ${way}`)
        await page.emulateMedia({ media: 'screen', colorScheme: 'light' })
        if (await page.evaluate(() => !document.documentElement.dataset.theme)) await page.locator('.theme').click()
      }
      must(light(await ground(page)) < 100, 'the button does not turn the page dark')
      await page.emulateMedia({ media: 'print' })
      must(await page.locator('.tools, nav, .layers, button').evaluateAll(list => list.every(x => x.getBoundingClientRect().height === 0)), 'print shows what can only be clicked')
      must(await page.locator('main details:not([open]) table').evaluateAll(list => list.every(x => x.getBoundingClientRect().height > 0)), 'print leaves out what is folded away')
      await shot(page, 'print', { fullPage: true })
    })
  }

  async function compared() {
    await open('in use', {}, async page => {
      const frame = page.locator('#frame'), svg = page.locator('#frame svg')
      const shown = () => svg.getAttribute('viewBox').then(v => v.split(' ').map(Number))
      const all = await shown()
      const is = async (what, test) => { const v = await shown(); must(test(v), `${what}: shows ${v} of ${all}`); return v }
      // Every layer that is offered changes what is painted, and comes back.
      const boxes = page.locator('.layers input'), n = await boxes.count()
      must(n > 5, `it offers few layers: ${n}`)
      const on = await boxes.evaluateAll(list => list.map(x => x.checked))
      await page.mouse.move(0, 0)
      const before = await frame.screenshot()
      for (let i = 0; i < n; i++) {
        const id = await boxes.nth(i).getAttribute('id')
        await boxes.nth(i).click()
        await page.mouse.move(0, 0)
        if (on[i]) must(await unlike(before, await frame.screenshot()) > 0, `layer ${id} changes nothing`)
        await boxes.nth(i).click()
      }
      await page.mouse.move(0, 0)
      must(await unlike(before, await frame.screenshot()) <= 5, 'layers that were switched do not come back')
      await page.getByRole('button', { name: 'Larger' }).click()
      await is('button Larger', v => v[2] < all[2] * .9)
      await page.getByRole('button', { name: 'Smaller' }).click()
      await is('button Smaller', v => !differ(v, all))
      await frame.focus()
      await page.keyboard.press('+')
      await page.keyboard.press('+')
      let last = await is('key +', v => v[2] < all[2] * .6)
      for (const [key, test] of [['ArrowRight', v => v[0] > last[0]], ['ArrowLeft', v => v[0] < last[0]], ['ArrowDown', v => v[1] > last[1]], ['ArrowUp', v => v[1] < last[1]], ['-', v => v[2] > last[2]]]) {
        await page.keyboard.press(key)
        last = await is('key ' + key, test)
      }
      await page.keyboard.press('0')
      await is('key 0', v => !differ(v, all))
      const near = await frame.boundingBox()
      await page.mouse.move(near.x + near.width / 2, near.y + near.height / 2)
      await page.mouse.wheel(0, -240)
      await page.waitForFunction(w => Number(document.querySelector('#frame svg').getAttribute('viewBox').split(' ')[2]) < w, all[2])
      await page.keyboard.press('0')
      // From one change to the next by keyboard, and from a row to its mark.
      const now = () => page.evaluate(() => [...document.querySelectorAll('.list li.now')].map(x => x.id).join())
      const rows = await page.locator('.list li[value]').evaluateAll(list => list.map(x => x.id))
      must(rows.length > 2, 'it lists few changes')
      for (const [key, want] of [['n', rows[0]], ['n', rows[1]], ['p', rows[0]]]) {
        await page.keyboard.press(key)
        must(await now() === want, `key ${key} leads to ${await now()}, not to ${want}`)
      }
      const links = page.locator(".list a[href^='#mark-']"), m = await links.count()
      must(m > 0, 'no change is marked in the picture')
      for (const k of [...new Set([0, m - 1])].filter(k => k >= 0)) {
        const link = links.nth(k), to = (await link.getAttribute('href')).slice(1)
        await link.focus()
        await page.keyboard.press('Enter')
        must(await page.evaluate(id => { const x = document.getElementById(id); return !!x && x.classList.contains('now') }, to), `the row's link to ${to} does not show it`)
        must(await page.locator('#' + to).evaluateAll(list => list.length === 1), `${to} is not in the picture`)
        await page.locator('#' + to).focus()
        await page.keyboard.press('Enter')
        must(await now() === to.replace('mark', 'change'), `Enter on ${to} leads to ${await now()}`)
      }
      did.push(`${m} marks`)
      await shot(page, 'in-use')
    })

    await open('without scripts', { javaScriptEnabled: false }, async page => {
      must(await page.locator('#frame svg').evaluate(x => x.getBoundingClientRect().height > 50), 'the picture is not shown')
      must(await page.locator('.tools').evaluate(x => !x.offsetParent), 'what needs a script is shown')
      must(await page.locator('.list li, .sides td').evaluateAll(list => list.length > 0 && list.every(x => x.offsetHeight > 0)), 'a change is not shown')
      const frame = page.locator('#frame'), on = await frame.screenshot()
      await page.locator('.layers input:checked').first().click()
      must(await unlike(on, await frame.screenshot()) > 0, 'layers cannot be switched without a script')
      const link = page.locator(".list a[href^='#mark-']").first(), to = (await link.getAttribute('href')).slice(1)
      await link.focus()
      await page.keyboard.press('Enter')
      must(await page.locator('#' + to).evaluate(x => x.matches(':target')), 'a row does not lead to its mark without a script')
    })

    await open('printed', { colorScheme: 'dark' }, async page => {
      await page.emulateMedia({ media: 'print' })
      must(await page.locator('.tools').evaluate(x => x.getBoundingClientRect().height === 0), 'print shows what can only be clicked')
      must(await page.locator('.list li, #frame svg').evaluateAll(list => list.every(x => x.getBoundingClientRect().height > 0)), 'print leaves something out')
      await shot(page, 'print', { fullPage: true })
    })
  }
}
