(function () {
  "use strict";
  var svg = document.querySelector(".frame svg"), frame = document.getElementById("frame");
  if (!svg) return;
  var whole = svg.getAttribute("viewBox").split(" ").map(Number), box = whole.slice();
  var hatches = svg.querySelectorAll("pattern"), tags = svg.querySelectorAll(".pin"), now = 0;
  document.querySelector(".tools").hidden = false;
  frame.classList.add("grab");
  function show() {
    svg.setAttribute("viewBox", box.join(" "));
    var k = box[2] / whole[2];
    hatches.forEach(function (h) { h.setAttribute("patternTransform", "scale(" + k + ")"); });
    tags.forEach(function (t) { t.setAttribute("transform", "translate(" + t.dataset.x + " " + t.dataset.y + ") scale(" + k + ")"); });
  }
  function zoom(by, x, y) {
    var w = Math.min(whole[2], Math.max(whole[2] / 400, box[2] * by));
    by = w / box[2];
    if (x === undefined) { x = box[0] + box[2] / 2; y = box[1] + box[3] / 2; }
    box = [x - (x - box[0]) * by, y - (y - box[1]) * by, w, box[3] * by];
    keep(); show();
  }
  function keep() {
    box[0] = Math.min(Math.max(box[0], whole[0]), whole[0] + whole[2] - box[2]);
    box[1] = Math.min(Math.max(box[1], whole[1]), whole[1] + whole[3] - box[3]);
  }
  function move(x, y) { box[0] += x * box[2]; box[1] += y * box[3]; keep(); show(); }
  function all() { box = whole.slice(); show(); }
  function at(e) {
    var m = svg.getScreenCTM().inverse();
    return new DOMPoint(e.clientX, e.clientY).matrixTransform(m);
  }
  function mark(n) { return document.getElementById("mark-" + n); }
  function go(n, near) {
    var m = mark(n), li = document.getElementById("change-" + n);
    document.querySelectorAll(".now").forEach(function (x) { x.classList.remove("now"); });
    now = n;
    if (li) { li.classList.add("now"); li.scrollIntoView({ block: "nearest" }); }
    if (!m) return;
    m.classList.add("now");
    if (near) {
      var b = m.dataset.box.split(" ").map(Number), pad = Math.max(b[2], b[3], whole[2] / 60) * 0.8;
      var w = Math.min(whole[2], Math.max(b[2] + 2 * pad, (b[3] + 2 * pad) * whole[2] / whole[3]));
      var h = w * whole[3] / whole[2];
      box = [b[0] + b[2] / 2 - w / 2, b[1] + b[3] / 2 - h / 2, w, h];
      keep(); show();
    }
  }
  var numbers = Array.prototype.map.call(document.querySelectorAll(".list li[value]"), function (li) { return +li.getAttribute("value"); });
  function step(by) {
    var i = numbers.indexOf(now) + by;
    if (now === 0) i = by > 0 ? 0 : numbers.length - 1;
    if (numbers.length) go(numbers[(i + numbers.length) % numbers.length], true);
  }
  var does = { in: function () { zoom(0.6); }, out: function () { zoom(1 / 0.6); }, all: all, next: function () { step(1); }, before: function () { step(-1); } };
  document.querySelectorAll("[data-do]").forEach(function (b) { b.addEventListener("click", does[b.dataset.do]); });
  svg.addEventListener("wheel", function (e) {
    if (!e.ctrlKey && !e.metaKey && document.activeElement !== frame) return;
    e.preventDefault();
    var p = at(e); zoom(e.deltaY > 0 ? 1.2 : 1 / 1.2, p.x, p.y);
  }, { passive: false });
  var from = null;
  svg.addEventListener("pointerdown", function (e) { if (e.button === 0) from = { p: at(e), moved: false }; });
  window.addEventListener("pointermove", function (e) {
    if (!from) return;
    var p = at(e), dx = p.x - from.p.x, dy = p.y - from.p.y;
    if (Math.abs(dx) + Math.abs(dy) < box[2] / 200 && !from.moved) return;
    from.moved = true;
    box[0] -= dx; box[1] -= dy; keep(); show();
  });
  window.addEventListener("pointerup", function () { if (from && from.moved) { var f = from; setTimeout(function () { f.moved = false; }, 0); } from = null; });
  frame.addEventListener("keydown", function (e) {
    if (e.ctrlKey || e.altKey || e.metaKey) return;
    var k = { ArrowLeft: [-0.15, 0], ArrowRight: [0.15, 0], ArrowUp: [0, -0.15], ArrowDown: [0, 0.15] }[e.key];
    if (k) move(k[0], k[1]);
    else if (e.key === "+" || e.key === "=") zoom(0.6);
    else if (e.key === "-") zoom(1 / 0.6);
    else if (e.key === "0") all();
    else if (e.key === "n" || e.key === "N") step(1);
    else if (e.key === "p" || e.key === "P") step(-1);
    else return;
    e.preventDefault();
  });
  document.querySelectorAll(".list a[href^='#mark-']").forEach(function (a) {
    a.addEventListener("click", function (e) { e.preventDefault(); go(+a.textContent, true); frame.scrollIntoView({ block: "nearest" }); });
  });
  svg.querySelectorAll(".marks a").forEach(function (a) {
    a.addEventListener("click", function (e) { e.preventDefault(); go(+a.id.slice(5), false); });
  });
  show();
})();
