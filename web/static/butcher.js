// One bird, one thumb: a number pad for the two weights of a carcass. Keeping
// and sending the record is the daybook's business (daybook.js); this script
// only types, asks about odd figures before they are kept, and renews the sums
// when the house has the bird.

const form = document.querySelector(".carcass form");
const pad = form.querySelector(".pad");
const hint = form.querySelector(".odd");
const [dressed, live] = ["dressed", "live"].map((id) => document.getElementById(id));
const factor = Number(dressed.dataset.factor);
const least = 100; // grams
const most = 15000;
let active = dressed;

const figure = (box) => Number(box.value.replace(",", ".").replace(/\s/g, "")) * factor;

function choose(box) {
  active = box;
  for (const b of [dressed, live]) b.classList.toggle("on", b === box);
}

// judge stops what cannot be and asks about what is odd.
function judge() {
  const g = figure(dressed);
  const alive = figure(live);
  const beyond = (x) => !(x >= least && x <= most);
  let stop = "";
  if (dressed.value && beyond(g)) stop = hint.dataset.range;
  else if (live.value && beyond(alive)) stop = hint.dataset.range;
  else if (dressed.value && live.value && g > alive) stop = hint.dataset.above;
  dressed.setCustomValidity(stop);
  const low = Number(dressed.dataset.low);
  const odd = dressed.value && low > 0 && (g < low || g > Number(dressed.dataset.high));
  // A figure is judged when it may be whole: not while its first digits are typed.
  const whole = /\d{3}|[.,]\d/.test(dressed.value);
  hint.textContent = whole ? stop || (odd ? hint.dataset.odd : "") : "";
}

for (const box of [dressed, live]) {
  box.inputMode = "none"; // the pad stands in for the telephone's keys
  box.addEventListener("focus", () => choose(box));
  box.addEventListener("input", judge);
}

pad.hidden = false;
pad.addEventListener("click", (event) => {
  const key = event.target.closest("button")?.value;
  if (!key) return;
  if (key === "rub") active.value = active.value.slice(0, -1);
  else if (active.value.length < 6 && !(key === "." && active.value.includes("."))) active.value += key;
  judge();
});
form.addEventListener("reset", () => setTimeout(() => (choose(dressed), judge())));
choose(dressed);
judge();

// The sums of the page follow when nothing waits any more.
const news = document.getElementById("news");
let renewing = false;
let again = false; // something changed while the sums were fetched

async function renew() {
  if (news.dataset.queue !== "0") return;
  if (renewing) {
    again = true;
    return;
  }
  renewing = true;
  again = false;
  try {
    const url = new URL(location.href);
    url.searchParams.delete("saved");
    const answer = await fetch(url, { headers: { Accept: "text/html" } });
    if (answer.ok && !answer.redirected) {
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      for (const part of document.querySelectorAll("#part-tally, #part-carcasses")) {
        const next = fresh.getElementById(part.id);
        if (next && next.innerHTML !== part.innerHTML) part.replaceChildren(...next.childNodes);
      }
    }
  } catch {
    // out of reach; the sums wait
  }
  renewing = false;
  if (again) renew();
}
new MutationObserver(renew).observe(news, { attributes: true, attributeFilter: ["data-queue"], childList: true });
