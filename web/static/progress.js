// Keeps the page in step with the work: shows how far it is, and fills in new
// parts as they are ready. What the reader opened stays open.

import { readAlong } from "./drawing.js";

const words = document.querySelector(".busy-words");
let round = Number(words?.dataset.round);
let filling = false;

async function fill() {
  const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const part of document.querySelectorAll("[data-part]")) {
    const next = fresh.getElementById(part.id);
    if (!next || next.innerHTML === part.innerHTML) continue;
    const open = [...part.querySelectorAll("details[open][id]")].map((d) => d.id);
    const held = document.activeElement && part.contains(document.activeElement) ? document.activeElement.id : "";
    part.replaceChildren(...next.childNodes);
    for (const id of open) document.getElementById(id)?.setAttribute("open", "");
    if (held) document.getElementById(held)?.focus();
  }
  readAlong();
}

if (words) {
  const reports = new EventSource(words.dataset.reports || "/progress");
  reports.onmessage = async (event) => {
    const news = JSON.parse(event.data);
    const line = document.querySelector(".busy-words");
    if (line && news.text && line.textContent !== news.text) line.textContent = news.text;
    if (!news.running) reports.close();
    if ((news.round !== round || !news.running) && !filling) {
      filling = true;
      round = news.round;
      try {
        await fill();
      } finally {
        filling = false;
      }
    }
  };
}
