// Reads along a drawing: under each one a slider picks a row of the table
// behind it, a line in the drawing shows where it is, and the row stands in
// words. A finger or pointer on the drawing moves the slider; so do the arrow
// keys.

// A figure is marked, and not remembered here: two pages' scripts may each load
// this file, under an address of their own.
export function readAlong(root = document) {
  for (const figure of root.querySelectorAll("figure.drawing")) {
    if (!figure.dataset.fitted) fit(figure);
  }
}

function fit(figure) {
  figure.dataset.fitted = "yes";
  const drawings = [...figure.querySelectorAll("svg[data-count]")];
  const rows = figure.querySelectorAll("tbody tr");
  if (!drawings.length || rows.length !== Number(drawings[0].dataset.count)) return;
  const heads = [...figure.querySelectorAll("thead th")].map((head) => head.textContent);

  const slider = document.createElement("input");
  slider.type = "range";
  slider.max = rows.length - 1;
  slider.value = 0;
  slider.setAttribute("aria-label", figure.dataset.reads);
  const words = document.createElement("p");
  words.className = "reading";
  words.setAttribute("aria-hidden", "true");
  const box = document.createElement("div");
  box.className = "read-along";
  box.append(slider, words);
  figure.querySelector("details").before(box);

  const tell = (i) => {
    const cells = [...rows[i].children].map((cell) => cell.textContent);
    const rest = cells.slice(1).map((value, k) => `${heads[k + 1]} ${value}`);
    return [cells[0], rest.join(", ")];
  };
  const show = () => {
    const i = Number(slider.value);
    const [name, rest] = tell(i);
    slider.setAttribute("aria-valuetext", `${name}: ${rest}`);
    const strong = document.createElement("strong");
    strong.textContent = name;
    words.replaceChildren(strong, " ", rest);
    for (const svg of drawings) {
      const { left, right, count } = svg.dataset;
      const x = Number(left) + ((i + 0.5) * (right - left)) / count;
      const line = svg.querySelector(".cursor");
      line.setAttribute("transform", `translate(${x} 0)`);
      line.setAttribute("visibility", "visible");
    }
  };
  slider.addEventListener("input", show);
  slider.setAttribute("aria-valuetext", tell(0).join(": "));
  words.textContent = figure.dataset.hint;
  for (const svg of drawings) {
    const point = (event) => {
      const frame = svg.getBoundingClientRect();
      const x = ((event.clientX - frame.left) * svg.viewBox.baseVal.width) / frame.width;
      const { left, right, count } = svg.dataset;
      const i = Math.floor(((x - left) * count) / (right - left));
      slider.value = Math.min(count - 1, Math.max(0, i));
      show();
    };
    svg.addEventListener("pointermove", point);
    svg.addEventListener("pointerdown", point);
  }
}

readAlong();
