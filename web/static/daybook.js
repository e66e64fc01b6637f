// The daybook on a phone. A record is kept on the phone first (IndexedDB), then
// handed to the house, and leaves the phone only when the house has said that it
// has it. Each record bears 128 random bits made here, so that one sent twice is
// one. Without this script the forms go to the house as they are.

const $ = (selector, within = document) => within.querySelector(selector);
const $$ = (selector, within = document) => [...within.querySelectorAll(selector)];
const news = $("#news");
const say = news ? { ...news.dataset, ...$("#phone ul").dataset } : {};
const most = 100; // records sent at once
const shown = 30; // records in the house that this phone still lists

const freshID = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("");

const today = () => {
  const d = new Date();
  return [d.getFullYear(), String(d.getMonth() + 1).padStart(2, "0"), String(d.getDate()).padStart(2, "0")].join("-");
};

// This device, for ever the same.
function device() {
  let id = localStorage.getItem("device");
  if (!id) localStorage.setItem("device", (id = freshID()));
  return id;
}

// --- what is kept on the phone -------------------------------------------

// queue holds what the house does not have yet, log what it answered.
const opened = new Promise((done, fail) => {
  const ask = indexedDB.open("daybook", 1);
  ask.onupgradeneeded = () => {
    ask.result.createObjectStore("queue", { keyPath: "n", autoIncrement: true });
    ask.result.createObjectStore("log", { keyPath: "n", autoIncrement: true });
  };
  ask.onsuccess = () => done(ask.result);
  ask.onerror = () => fail(ask.error);
});
opened.catch(() => {});

// work runs one transaction and is done when it is on the disk.
async function work(stores, mode, body) {
  const db = await opened;
  return new Promise((done, fail) => {
    const t = db.transaction(stores, mode, { durability: "strict" });
    const result = body(...stores.map((name) => t.objectStore(name)));
    t.oncomplete = () => done(result?.result);
    t.onabort = t.onerror = () => fail(t.error);
  });
}
const all = (store) => work([store], "readonly", (s) => s.getAll());

// --- from a form to records -----------------------------------------------

const figure = (text) => Number(text.replace(",", ".").replace(/\s/g, ""));

// valueOf gives the value of a box in the record; undefined when it is empty.
function valueOf(box) {
  const text = box.value.trim();
  if (box.type === "radio") return undefined; // the tiles are read together
  if (box.dataset.type === "fresh") return freshID();
  if (box.dataset.type === "tick") return box.checked || undefined;
  if (text === "") {
    if (box.dataset.need) throw [box, box.dataset.need];
    return undefined;
  }
  switch (box.dataset.type) {
    case "whole":
    case "number":
    case "mass":
    case "money": {
      let x = figure(text) * Number(box.dataset.factor || 1);
      if (box.dataset.type === "money") x = Math.round(x);
      if (!(x >= 0) || (box.dataset.type === "whole" && !Number.isInteger(x))) throw [box, text + "?"];
      return box.dataset.type === "mass" ? Number(x.toPrecision(6)) : x;
    }
    case "weights":
    case "carcasses": {
      const list = text.split(/[\s;]+/).map(figure);
      if (list.some((x) => !(x >= 0))) throw [box, text + "?"];
      if (box.dataset.type === "weights") return list;
      return withLive(box, list.map((x) => ({ dressed_g: inGrams(box, x) })));
    }
  }
  return text;
}

const inGrams = (box, x) => (Number(box.dataset.factor || 1) === 1 ? x : Math.round(x * Number(box.dataset.factor)));

// withLive adds the live weight where a form for one bird has a box for it.
function withLive(box, birds) {
  const live = box.dataset.live && box.form.elements[box.dataset.live];
  if (live?.value.trim()) birds[0].live_g = inGrams(box, figure(live.value));
  return birds;
}

function makeRecords(form) {
  const payload = {};
  const words = [];
  let group;
  for (const box of $$("[data-type]", form)) {
    if (box.dataset.type === "photo") continue;
    const value = valueOf(box);
    if (box.dataset.type === "all" && value === undefined) payload.all = true;
    if (value === undefined) continue;
    payload[box.dataset.as || box.name] = value;
    if (box.type !== "hidden") words.push(box.dataset.name + ": " + (box.selectedOptions?.[0].text || box.value));
  }
  const tiles = $(".tiles", form);
  if (tiles) {
    const other = $("[data-other]", form);
    const text = other.value.trim() || $("input:checked", tiles)?.value;
    if (text === undefined || !Number.isInteger(figure(text)) || figure(text) < 0) throw [other, $("legend", tiles).textContent];
    payload[other.dataset.other] = figure(text);
    words.unshift(text);
  }
  const event = (kind, content) => ({
    id: freshID(), kind, version: Number(form.dataset.version), happened_on: form.elements.happened_on.value || today(),
    recorded_at: new Date().toISOString(), device: device(), payload: content,
  });
  const list = [];
  if (payload.group === "new") {
    group = { group: freshID() };
    for (const box of $$("[data-group]", form)) if (box.value.trim()) group[box.dataset.group] = box.value.trim();
    if (!group.name) throw [$("[data-group=name]", form), $("label[for=" + $("[data-group=name]", form).id + "]").textContent + "?"];
    if (form.dataset.kind === "hatch") group.hatched = form.elements.happened_on.value;
    payload.group = group.group;
    list.push({ event: event("group", group), words: group.name });
  }
  list.push({ event: event(form.dataset.kind, payload), words: form.dataset.title + ": " + words.join(" · ") });
  return list;
}

// smaller makes a photo small enough to keep and to send, and leaves out where
// it was taken.
async function smaller(file) {
  const picture = await createImageBitmap(file);
  const by = Math.min(1, 1600 / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * by);
  canvas.height = Math.round(picture.height * by);
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  return new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.8));
}

async function save(form) {
  const list = makeRecords(form);
  const file = $("[data-type=photo]", form)?.files[0];
  const last = list[list.length - 1];
  if (file) last.photo = await smaller(file);
  await work(["queue"], "readwrite", (q) => list.forEach((x) => void q.add(x)));
  return last;
}

async function strike(of) {
  const undo = {
    event: { ...of.event, id: freshID(), kind: "strike", version: 1, recorded_at: new Date().toISOString(), supersedes: [of.event.id], payload: { reason: say.undone } },
    words: say.undo + ": " + of.words,
  };
  await work(["queue"], "readwrite", (q) => void q.add(undo));
}

// --- to the house -----------------------------------------------------------

let trouble = ""; // why nothing goes at the moment
let sending = false;

async function post(path, type, body) {
  const answer = await fetch(path, { method: "POST", headers: { "Content-Type": type, Accept: "application/json" }, body, signal: AbortSignal.timeout(20000) });
  if (answer.status === 401) throw "enter";
  return answer;
}

// deliver sends what waits, the oldest first. Photos go before their notes.
async function deliver() {
  if (sending) return;
  sending = true;
  let sent = 0;
  let many = most;
  try {
    for (;;) {
      const part = (await all("queue")).slice(0, many);
      if (!part.length) break;
      for (const x of part) if (x.photo) await sendPhoto(x);
      const answer = await post("/daybook/records", "application/json", JSON.stringify(part.map((x) => x.event)));
      let { records, error } = await answer.json();
      if (answer.status === 413 || answer.status === 400) {
        if ((many = Math.floor(part.length / 2))) continue; // find the one that is not taken
        records = [{ id: part[0].event.id, status: "refused", why: error.text }];
        many = most;
      } else if (!answer.ok || records.length !== part.length) throw "away";
      await settle(part, records);
      sent += part.length;
    }
    trouble = "";
  } catch (why) {
    trouble = typeof why === "string" ? why : "away";
  }
  sending = false;
  await tell();
  if (sent) await refresh();
}

async function sendPhoto(x) {
  const answer = await post("/daybook/photos", "image/jpeg", x.photo);
  if (answer.ok) {
    const { sha256, media_type } = await answer.json();
    x.event.payload.photos = [{ sha256, media_type }];
  } else if (answer.status >= 500) throw "away";
  delete x.photo;
  await work(["queue"], "readwrite", (q) => void q.put(x));
}

// settle takes out of the queue what the house answered for, in one step with
// writing down the answer.
function settle(part, records) {
  return work(["queue", "log"], "readwrite", (queue, log) => {
    part.forEach((x, i) => {
      const answer = records[i];
      if (!answer || (answer.id !== x.event.id && answer.status !== "refused")) return;
      queue.delete(x.n);
      const { n, ...rest } = x;
      log.add({ ...rest, status: answer.status, why: answer.why });
    });
    const keys = log.getAll();
    keys.onsuccess = () => {
      const done = keys.result.filter((x) => x.status === "new" || x.status === "here");
      for (const old of done.slice(0, -shown)) log.delete(old.n);
    };
  });
}

// refresh fills in what the house now says, and with it the copy of the page
// that opens without the house.
async function refresh() {
  try {
    const answer = await fetch("/daybook", { headers: { Accept: "text/html" } });
    if (!answer.ok || answer.redirected) return;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const part of $$("[data-part], datalist")) {
      const next = fresh.getElementById(part.id);
      if (next && next.innerHTML !== part.innerHTML) part.replaceChildren(...next.childNodes);
    }
    for (const list of $$("select[data-type=group], select[data-type=some], select[data-type=all], select[data-type=setting], select[data-type=bird]")) {
      const next = fresh.getElementById(list.id);
      const chosen = list.value;
      if (!next) continue;
      list.replaceChildren(...next.childNodes);
      if ($$("option", list).some((o) => o.value === chosen)) list.value = chosen;
      list.dispatchEvent(new Event("change"));
    }
    for (const tiles of $$(".tiles")) {
      const next = $(".tiles", fresh);
      if (next && !$("input:checked", tiles) && next.innerHTML !== tiles.innerHTML) tiles.replaceChildren(...next.childNodes);
    }
  } catch {
    // out of reach; the page stays as it is
  }
}

// --- what the keeper sees ---------------------------------------------------

const put = (name, text, cls) => Object.assign(document.createElement(name), { textContent: text, className: cls || "" });
const worded = (text, n) => text.replace("%s", n);
let saved; // the last record of this page, to undo

async function tell() {
  const [queue, log] = await Promise.all([all("queue"), all("log")]);
  const refused = log.filter((x) => x.status === "refused" || x.status === "conflicting");
  const lines = [...log.map((x) => ({ ...x, from: "log" })), ...queue].reverse();
  const struck = new Set(lines.flatMap((x) => x.event.supersedes || []));
  news.replaceChildren();
  if (saved && !struck.has(saved.event.id)) {
    const line = put("p", "", "saved");
    line.append(put("strong", say.saved), " " + saved.words);
    const undo = put("button", say.undo, "quiet");
    undo.type = "button";
    undo.id = "undo";
    undo.onclick = () => takeBack(saved);
    news.append(line, undo);
  }
  news.append(put("p", queue.length ? worded(say.waiting0, queue.length) : say.none, queue.length ? "waiting" : "safe"));
  news.dataset.queue = queue.length;
  if (queue.length && trouble) news.append(put("p", trouble === "enter" ? say.enter : say.away, "caution"));
  if (trouble === "enter") news.append(Object.assign(put("a", say.sign), { href: "/devices/enter" }));
  if (refused.length) news.append(put("p", worded(say.refused0, refused.length), "caution"));
  const phone = $("#phone");
  phone.hidden = !lines.length;
  $("#try").hidden = !queue.length;
  $("ul", phone).replaceChildren(...lines.slice(0, shown).map((x) => lineOf(x, struck)));
  navigator.setAppBadge?.(queue.length).catch(() => {});
}

const dayWords = (day) => new Date(day + "T12:00").toLocaleDateString(document.documentElement.lang, { day: "numeric", month: "long", year: "numeric" });

function lineOf(x, struck) {
  const away = x.status === "refused" || x.status === "conflicting";
  const line = put("li", "", "line " + (x.from ? (away ? "refused" : "safe") : "waiting") + (struck.has(x.event.id) ? " gone" : ""));
  const state = x.from ? (away ? say.refused + " " + x.why : say.house) : say.waiting;
  line.append(put("p", x.words), put("p", dayWords(x.event.happened_on) + " · " + state, "small"));
  if (away || (x.event.kind !== "strike" && !struck.has(x.event.id))) {
    const button = put("button", away ? say.away1 : say.undo, "quiet");
    button.type = "button";
    button.onclick = () => (away ? work(["log"], "readwrite", (log) => void log.delete(x.n)).then(tell) : takeBack(x));
    line.append(button);
  }
  return line;
}

async function takeBack(x) {
  if (saved?.event.id === x.event.id) saved = undefined;
  await strike(x);
  await tell();
  deliver();
}

function fault(box, words) {
  const field = box.closest(".field, .tiles");
  field.closest("details.more")?.setAttribute("open", "");
  field.classList.add("wrong");
  const line = put("p", words, "error");
  line.setAttribute("role", "alert");
  field.append(line);
  box.focus();
}

async function submit(event) {
  const form = event.target;
  event.preventDefault();
  if (form.dataset.busy) return; // two taps are one record
  form.dataset.busy = "1";
  $$(".wrong", form).forEach((f) => f.classList.remove("wrong"));
  $$(".error", form).forEach((e) => e.remove());
  try {
    saved = await save(form);
    remember(form);
    form.reset();
    recall();
    delete form.dataset.busy; // the next record may be tapped in while this one is told of
    form.closest(".others details")?.removeAttribute("open");
    await tell();
    news.scrollIntoView({ block: "start" });
    deliver();
  } catch (why) {
    if (Array.isArray(why)) fault(...why);
    else news.replaceChildren(put("p", say.nostore, "caution"));
  }
  delete form.dataset.busy;
}

// What rarely changes from one time to the next is remembered: which pen, which
// feed, which group.
const remembered = ["pen", "feed", "kg", "what", "group", "breed", "under", "name"];

function remember(form) {
  const kept = {};
  for (const name of remembered) {
    const box = form.elements[name];
    if (box?.value && box.value !== "new") kept[name] = box.value;
  }
  localStorage.setItem("last-" + form.dataset.entry, JSON.stringify(kept));
}

function recall() {
  for (const form of $$("form[data-entry]")) {
    const kept = JSON.parse(localStorage.getItem("last-" + form.dataset.entry) || "{}");
    for (const [name, value] of Object.entries(kept)) {
      const box = form.elements[name];
      if (!box || (box.options && ![...box.options].some((o) => o.value === value))) continue;
      box.value = value;
      if (form.dataset.entry === "eggs" && value) $("details.more", form).open = true;
    }
    const on = form.elements.happened_on;
    if (on && !("set" in on.dataset)) on.value = today(); // the page may be of another day
    showGroup(form);
  }
}

function showGroup(form) {
  const box = $(".newgroup", form);
  if (box) box.hidden = form.elements.group?.value !== "new";
}

// --- begin ------------------------------------------------------------------

function begin() {
  say.waiting0 = news.dataset.waiting;
  say.refused0 = news.dataset.refused;
  say.away = news.dataset.away;
  say.away1 = $("#phone ul").dataset.away;
  recall();
  for (const form of $$("form[data-entry]")) {
    form.addEventListener("submit", submit);
    form.addEventListener("change", () => showGroup(form));
    form.elements.happened_on.addEventListener("input", (e) => (e.target.dataset.set = ""));
  }
  $("#try").onclick = deliver;
  addEventListener("online", deliver);
  document.addEventListener("visibilitychange", () => document.hidden || (recall(), deliver()));
  setInterval(() => document.hidden || all("queue").then((q) => q.length && deliver()), 15000);
  navigator.storage?.persist?.().catch(() => {});
  tell().then(deliver);
}

if (news) opened.then(begin, () => news.append(put("p", say.nostore, "caution")));
for (const form of $$("form[data-entry]")) if (!news) showGroup(form);
navigator.serviceWorker?.register("/daybook/worker.js", { scope: "/daybook" }).catch(() => {});
