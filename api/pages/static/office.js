"use strict";
// What scripts add: the answer while typing, arrow keys, undo, and the keeping of
// what could not be sent. Everything else works without.

const keep = {
  get(key) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
  set(key, value) { try { localStorage.setItem(key, JSON.stringify(value)); } catch { /* full or shut: it is only not kept */ } },
  drop(key) { try { localStorage.removeItem(key); } catch { /* see above */ } },
};
const retryAfter = 10000, longAfter = 400;

// The drawer closes on Escape and when something else is chosen.
document.addEventListener("keydown", (e) => {
  const open = document.querySelector(".drawer[open]");
  if (e.key === "Escape" && open) { open.open = false; open.querySelector("summary").focus(); }
});
document.addEventListener("click", (e) => {
  const open = document.querySelector(".drawer[open]");
  if (open && !open.contains(e.target)) open.open = false;
});

// A grid of orders. A cell's name ends with the cases its writer saw.
function grid(form) {
  const answer = form.querySelector("[data-answer]"), undoButton = form.querySelector("[data-undo]");
  const cells = [...form.querySelectorAll("input[data-r]")];
  const at = new Map(cells.map((x) => [x.dataset.r + " " + x.dataset.c, x]));
  const rows = Math.max(...cells.map((x) => +x.dataset.r)), columns = Math.max(...cells.map((x) => +x.dataset.c));
  const undone = [];
  let asking = null, timer = 0, line = Promise.resolve();

  const late = () => (form.elements.late ? form.elements.late.value : "");
  const cut = (x) => x.name.lastIndexOf("~");
  const was = (x) => x.name.slice(cut(x) + 1);
  const key = (x) => "headtally " + x.name.slice(0, cut(x));
  const typed = (x) => x.value.trim() || "0";

  function move(from, down, right) {
    let r = +from.dataset.r + down, c = +from.dataset.c + right;
    for (; r >= 0 && c >= 0 && r <= rows && c <= columns; r += down, c += right) {
      const to = at.get(r + " " + c);
      if (to) { to.focus(); return; }
    }
  }

  function ask(x) {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      if (asking) asking.abort();
      asking = new AbortController();
      try {
        const got = await fetch("/p/cell?" + new URLSearchParams({ name: x.name, cases: x.value }), { signal: asking.signal });
        const said = await got.json();
        if (said.say) answer.textContent = said.say;
      } catch { /* the next key asks again */ }
    }, 10);
  }

  function sums() {
    const down = [], across = [];
    for (const x of cells) {
      down[x.dataset.c] = (down[x.dataset.c] || 0) + +was(x);
      across[x.dataset.r] = (across[x.dataset.r] || 0) + +was(x);
    }
    for (const td of form.querySelectorAll("[data-sum]")) td.textContent = across[td.dataset.sum] || 0;
    form.querySelectorAll("[data-down]").forEach((td) => { td.textContent = down[td.dataset.down] || 0; });
  }

  // Cells are sent one after another, so that two changes of one stay in order.
  function save(x, remember = true) {
    line = line.then(() => send(x, remember));
    return line;
  }

  async function send(x, remember) {
    const before = was(x), wish = typed(x);
    if (wish === before) { x.classList.remove("kept"); x.removeAttribute("aria-invalid"); keep.drop(key(x)); return; }
    x.classList.add("kept");
    keep.set(key(x), wish);
    let got, said;
    try {
      got = await fetch("/p/cell", { method: "POST", body: new URLSearchParams({ name: x.name, cases: wish, late: late() }) });
      said = await got.json();
    } catch {
      answer.textContent = form.dataset.unsent + " " + form.dataset.kept;
      return;
    }
    if (said.say) answer.textContent = said.say;
    if (!got.ok) {
      x.setAttribute("aria-invalid", "true");
      if (said.name) x.name = said.name;
      return;
    }
    x.name = said.name;
    if (typed(x) === wish) x.value = said.now === "0" ? "" : said.now;
    x.classList.remove("kept");
    x.removeAttribute("aria-invalid");
    keep.drop(key(x));
    x.nextElementSibling.innerHTML = said.get;
    if (remember) { undone.push([x, before]); undoButton.hidden = false; }
    sums();
  }

  function undo() {
    const last = undone.pop();
    undoButton.hidden = undone.length === 0;
    if (!last) return;
    last[0].value = last[1] === "0" ? "" : last[1];
    last[0].focus();
    save(last[0], false);
  }

  const arrows = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
  form.addEventListener("keydown", (e) => {
    const x = e.target;
    if ((e.ctrlKey || e.metaKey) && e.key === "z" && (!x.matches("input[data-r]") || typed(x) === was(x))) { e.preventDefault(); undo(); return; }
    if (!x.matches("input[data-r]")) return;
    if (arrows[e.key]) {
      const whole = x.selectionStart === 0 && x.selectionEnd === x.value.length;
      if (e.key === "ArrowLeft" && !whole && x.selectionStart > 0) return;
      if (e.key === "ArrowRight" && !whole && x.selectionEnd < x.value.length) return;
      e.preventDefault();
      move(x, ...arrows[e.key]);
    } else if (e.key === "Enter") {
      e.preventDefault();
      save(x);
      move(x, e.shiftKey ? -1 : 1, 0);
    } else if (e.key === "Escape") {
      x.value = was(x) === "0" ? "" : was(x);
      save(x);
    }
  });
  form.addEventListener("keypress", (e) => { if (e.key === "Enter" && e.target.matches("input[data-r]")) e.preventDefault(); });
  form.addEventListener("focusin", (e) => { if (e.target.matches("input[data-r]")) { e.target.select(); if (typed(e.target) !== "0") ask(e.target); } });
  form.addEventListener("input", (e) => { if (e.target.matches("input[data-r]")) ask(e.target); });
  form.addEventListener("change", (e) => { if (e.target.matches("input[data-r]")) save(e.target); });
  undoButton.addEventListener("click", undo);

  function again() { for (const x of cells) if (x.classList.contains("kept") && !x.hasAttribute("aria-invalid")) save(x); }
  for (const x of cells) {
    const wish = keep.get(key(x));
    if (wish === null) continue;
    if (wish === was(x)) { keep.drop(key(x)); continue; }
    x.value = wish;
    x.classList.add("kept");
    answer.textContent = form.dataset.unsent;
  }
  addEventListener("online", again);
  setInterval(again, retryAfter);
}

// A walk through the house: each figure is kept as it is typed, and the walk is
// sent again until it has arrived. Its own number lets it arrive only once.
function walk(form) {
  const key = "headtally " + form.getAttribute("action"), answer = form.querySelector("[data-answer]"), day = form.elements.day.value;
  const boxes = [...form.querySelectorAll("input:not([type=hidden]), select")];
  const line = form.hasAttribute("data-line"); // one line: Enter sends it
  let waiting = false;

  const old = keep.get(key);
  if (old && old.day === day) {
    if (old.id) form.elements.id.value = old.id;
    for (const x of boxes) {
      if (old.typed[x.name] === undefined) continue;
      if (x.type === "checkbox") x.checked = old.typed[x.name]; else x.value = old.typed[x.name];
    }
    answer.textContent = form.dataset.kept;
    if (old.sent) { waiting = true; send(); }
  }
  // What was refused stored nothing: it is sent anew under the page's own number.
  function note(sent, id = form.elements.id.value) {
    keep.set(key, { day, sent, id, typed: Object.fromEntries(boxes.map((x) => [x.name, x.type === "checkbox" ? x.checked : x.value])) });
  }
  form.addEventListener("input", () => { note(false); answer.textContent = form.dataset.kept; });
  form.addEventListener("keydown", (e) => {
    if (e.key !== "Enter" || !boxes.includes(e.target) || line) return;
    e.preventDefault();
    const next = boxes[boxes.indexOf(e.target) + 1];
    (next || form.querySelector("button.first")).focus();
    if (next && next.select) next.select();
  });
  form.addEventListener("keypress", (e) => { if (e.key === "Enter" && boxes.includes(e.target) && !line) e.preventDefault(); });
  form.addEventListener("submit", (e) => {
    if (e.submitter && e.submitter.name === "next") return;
    e.preventDefault();
    note(true);
    waiting = true;
    send();
  });
  async function send() {
    try {
      const got = await fetch(form.getAttribute("action"), { method: "POST", body: new URLSearchParams(new FormData(form)) });
      waiting = false;
      if (got.ok && got.redirected) { keep.drop(key); location = got.url; return; }
      note(false, null);
      form.submit();
    } catch {
      answer.textContent = form.dataset.sending;
    }
  }
  const again = () => { if (waiting) send(); };
  addEventListener("online", again);
  setInterval(again, retryAfter);
}

// A file can be dropped anywhere on the form that takes one.
function drop(form) {
  const box = form.querySelector("input[type=file]");
  form.addEventListener("dragover", (e) => { e.preventDefault(); form.classList.add("over"); });
  form.addEventListener("dragleave", () => form.classList.remove("over"));
  form.addEventListener("drop", (e) => { e.preventDefault(); box.files = e.dataTransfer.files; form.requestSubmit(); });
}

// A recipe by hand: how many heads are typed, of those a case holds.
function recipe(form) {
  const sum = form.querySelector("[data-sum]"), boxes = [...form.querySelectorAll("input.count")];
  form.addEventListener("input", () => {
    const heads = boxes.reduce((n, x) => n + (+x.value || 0), 0);
    sum.textContent = sum.dataset.say.replace("~", heads);
    sum.classList.toggle("off", heads !== +form.dataset.case);
  });
  form.addEventListener("focusin", (e) => { if (boxes.includes(e.target)) e.target.select(); });
}

// What was sent and takes long says that it is under way, and is not sent twice.
const working = document.querySelector("[data-working]");
document.addEventListener("submit", (e) => {
  const form = e.target;
  if (e.defaultPrevented || form.method !== "post") return;
  if (form.dataset.sent) { e.preventDefault(); return; }
  form.dataset.sent = "1";
  setTimeout(() => { if (form.dataset.sent) working.textContent = working.dataset.working; }, longAfter);
});
addEventListener("pageshow", (e) => {
  if (e.persisted) { location.reload(); return; } // kept by the browser as it was left: its figures may be old
  working.textContent = "";
  for (const form of document.forms) delete form.dataset.sent;
});

const orders = document.querySelector("[data-grid]");
if (orders && orders.querySelector("input[data-r]")) grid(orders);
document.querySelectorAll("[data-walk]").forEach(walk);
document.querySelectorAll("[data-case]").forEach(recipe);
const dropping = document.querySelector("[data-drop]");
if (dropping) drop(dropping);
