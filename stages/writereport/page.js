'use strict';
// The page says everything without this: it only moves pictures, filters a table and leads from marks to rows.
(function () {
  const page = document.documentElement;
  page.classList.add('scripts');

  // Light and dark: as the system says, until the button is used.
  const button = document.querySelector('.theme');
  const system = window.matchMedia('(prefers-color-scheme: dark)');
  const isDark = () => page.dataset.theme ? page.dataset.theme === 'dark' : system.matches;
  const say = () => {
    button.setAttribute('aria-pressed', String(isDark()));
  };
  button.addEventListener('click', () => { page.dataset.theme = isDark() ? 'light' : 'dark'; say(); });
  system.addEventListener('change', say);
  say();

  // What is folded away is printed too.
  let opened = [];
  window.addEventListener('beforeprint', () => {
    opened = [...document.querySelectorAll('details:not([open])')];
    opened.forEach(d => { d.open = true; });
  });
  window.addEventListener('afterprint', () => { opened.forEach(d => { d.open = false; }); opened = []; });

  // A browser that cannot ask a picture which of its layers are on is told.
  if (!CSS.supports('selector(:has(a))')) {
    document.querySelectorAll('.pic').forEach(pic => {
      const settle = box => pic.querySelectorAll('.la-' + box.dataset.layer).forEach(x => { x.style.display = box.checked ? '' : 'none'; });
      pic.querySelectorAll('[data-layer]').forEach(box => { settle(box); box.addEventListener('change', () => settle(box)); });
    });
  }

  const views = new Map(); // picture to what moves it
  const most = 60;         // how far a picture can be enlarged

  function view(pic) {
    const stage = pic.querySelector('.stage'), svg = stage.querySelector('svg'), said = pic.querySelector('.zoom');
    const all = svg.dataset.view.split(' ').map(Number);
    let x = all[0], y = all[1], w = all[2];
    const ratio = all[3] / all[2];
    const clamp = (v, least, greatest) => Math.min(Math.max(v, least), greatest);
    function show() {
      w = clamp(w, all[2] / most, all[2]);
      x = clamp(x, all[0], all[0] + all[2] - w);
      y = clamp(y, all[1], all[1] + all[3] - w * ratio);
      svg.setAttribute('viewBox', [x, y, w, w * ratio].map(v => v.toFixed(4)).join(' '));
      const width = scale();
      if (width > 0) svg.style.setProperty('--mm', String(w / width * clamp(width / 480, .7, 1))); // marks are smaller on a phone
      said.textContent = (all[2] / w).toFixed(1) + '×';
      stage.classList.toggle('held', w < all[2] * 0.999);
    }
    // How wide the view is on the screen: the picture may be less high than the room for it, or less wide.
    function scale() {
      const r = svg.getBoundingClientRect();
      return Math.min(r.width, r.height / ratio);
    }
    function place(px, py) {
      const r = svg.getBoundingClientRect(), width = scale();
      return [x + (px - r.left - (r.width - width) / 2) / width * w, y + (py - r.top - (r.height - width * ratio) / 2) / width * w];
    }
    function zoom(by, px, py) {
      const r = svg.getBoundingClientRect();
      const [ax, ay] = px === undefined ? [x + w / 2, y + w * ratio / 2] : place(px, py);
      const next = clamp(w / by, all[2] / most, all[2]);
      x = ax - (ax - x) * next / w; y = ay - (ay - y) * next / w; w = next;
      show();
      return r;
    }
    const move = (dx, dy) => { x += dx * w; y += dy * w * ratio; show(); };
    const fit = () => { x = all[0]; y = all[1]; w = all[2]; show(); };
    const doing = { in: () => zoom(1.5), out: () => zoom(1 / 1.5), fit, left: () => move(-.2, 0), right: () => move(.2, 0), up: () => move(0, -.2), down: () => move(0, .2) };
    pic.querySelectorAll('[data-do]').forEach(b => b.addEventListener('click', () => doing[b.dataset.do]()));
    stage.addEventListener('keydown', e => {
      if (e.ctrlKey || e.metaKey || e.altKey) return;
      const what = { '+': 'in', '=': 'in', '-': 'out', '−': 'out', '0': 'fit', ArrowLeft: 'left', ArrowRight: 'right', ArrowUp: 'up', ArrowDown: 'down' }[e.key];
      if (what) { doing[what](); e.preventDefault(); }
    });
    // The wheel scrolls the page unless the picture is in use, so that nobody is caught on the way down.
    stage.addEventListener('wheel', e => {
      if (!e.ctrlKey && !stage.contains(document.activeElement)) return;
      e.preventDefault();
      zoom(Math.exp(-clamp(e.deltaY * (e.deltaMode ? 30 : 1), -200, 200) / 300), e.clientX, e.clientY);
    }, { passive: false });
    stage.addEventListener('dblclick', e => { if (!e.target.closest('a')) zoom(2, e.clientX, e.clientY); });

    const fingers = new Map();
    let span = 0, moved = false;
    const spread = () => { const [a, b] = [...fingers.values()]; return Math.hypot(a.x - b.x, a.y - b.y); };
    stage.addEventListener('pointerdown', e => {
      fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
      moved = false;
      if (fingers.size === 2) span = spread();
    });
    stage.addEventListener('pointermove', e => {
      const was = fingers.get(e.pointerId);
      if (!was) return;
      const dx = e.clientX - was.x, dy = e.clientY - was.y;
      if (fingers.size === 1) {
        if (!moved && Math.hypot(dx, dy) < 4) return;
        if (!moved) { moved = true; stage.setPointerCapture(e.pointerId); stage.classList.add('moving'); }
        const width = scale();
        x -= dx / width * w; y -= dy / width * w;
        show();
      }
      fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
      if (fingers.size === 2 && span > 0) {
        const now = spread(), [a, b] = [...fingers.values()];
        zoom(now / span, (a.x + b.x) / 2, (a.y + b.y) / 2);
        span = now; moved = true;
      }
    });
    const lift = e => { fingers.delete(e.pointerId); span = 0; if (!fingers.size) stage.classList.remove('moving'); };
    ['pointerup', 'pointercancel'].forEach(name => stage.addEventListener(name, lift));
    // What was dragged was not clicked.
    stage.addEventListener('click', e => { if (moved) { e.preventDefault(); e.stopPropagation(); moved = false; } }, true);
    stage.addEventListener('dragstart', e => e.preventDefault());

    new ResizeObserver(show).observe(svg);
    return {
      told: pic.querySelector('.told'),
      // Brings a mark into view, near enough to see what is round it.
      near(mark) {
        const at = mark.querySelector('g[transform]').transform.baseVal.consolidate().matrix;
        w = Math.min(w, all[2] / 4); x = at.e - w / 2; y = at.f - w * ratio / 2;
        show();
      },
      tell(text) { this.told.textContent = text; },
    };
  }
  document.querySelectorAll('.pic').forEach(pic => views.set(pic, view(pic)));

  // Marks and rows lead to each other.
  const motion = window.matchMedia('(prefers-reduced-motion: reduce)');
  function choose(number) {
    document.querySelectorAll('.chosen').forEach(x => x.classList.remove('chosen'));
    const row = document.getElementById('finding-' + number);
    if (row) row.classList.add('chosen');
    document.querySelectorAll('a.mark[href="#finding-' + number + '"]').forEach(x => x.classList.add('chosen'));
    return row;
  }
  function scrollTo(x) {
    x.scrollIntoView({ block: 'center', behavior: motion.matches ? 'auto' : 'smooth' });
  }
  function reveal(x) {
    for (let d = x.closest('details'); d; d = d.parentElement.closest('details')) d.open = true;
  }
  document.addEventListener('click', e => {
    const a = e.target.closest('a');
    if (!a) return;
    const target = (a.getAttribute('href') || '').slice(1);
    if (a.classList.contains('mark')) {
      const row = choose(target.replace('finding-', ''));
      if (!row) return;
      e.preventDefault();
      views.get(a.closest('.pic')).tell(a.getAttribute('aria-label') + '. ' + row.querySelector('.message').textContent);
      reveal(row);
      history.replaceState(null, '', '#' + row.id);
      row.focus({ preventScroll: true });
      scrollTo(row);
    } else if (target.startsWith('mark-')) {
      const mark = document.getElementById(target), pic = mark && mark.closest('.pic');
      if (!pic) return;
      e.preventDefault();
      const box = pic.querySelector('[data-layer="findings"]');
      if (box && !box.checked) box.click();
      choose(mark.getAttribute('href').replace('#finding-', ''));
      const v = views.get(pic);
      v.near(mark);
      v.tell(mark.getAttribute('aria-label'));
      mark.focus({ preventScroll: true });
      scrollTo(pic);
    } else if (target.startsWith('finding-')) {
      const row = choose(target.replace('finding-', ''));
      if (row) { reveal(row); row.focus({ preventScroll: true }); }
    }
  });

  // Rows of a table that hold every word that is asked for.
  document.querySelectorAll('[data-filters]').forEach(input => {
    const rows = [...document.getElementById(input.dataset.filters).tBodies[0].rows];
    const said = input.closest('.filter').querySelector('.said');
    const texts = rows.map(r => r.textContent.toLowerCase());
    const filter = () => {
      const words = input.value.toLowerCase().split(/\s+/).filter(Boolean);
      let n = 0;
      rows.forEach((r, i) => { r.hidden = !words.every(w => texts[i].includes(w)); n += r.hidden ? 0 : 1; });
      said.textContent = words.length ? n + ' of ' + rows.length + ' rows' : '';
    };
    input.addEventListener('input', filter);
  });
})();
