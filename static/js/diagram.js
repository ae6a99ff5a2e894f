// Reads the tin-bismuth diagram off at the pointer, or at what the fields say; the server answers the same without it.
const form = document.getElementById("diagram");
const lines = JSON.parse(form.dataset.lines);
const surface = document.getElementById("surface");
const byId = (id) => document.getElementById(id);
const fields = { bi: byId("f-bi"), t: byId("f-t") };
const [eutecticWt] = lines.eutectic;

const between = (a, b, share) => a + (b - a) * share;

// The value in column `to` where column `from` is `value`, along the line through the points; beyond its ends the last.
function along(points, value, from, to) {
  for (let i = 1; i < points.length; i += 1) {
    const [a, b] = [points[i - 1], points[i]];
    const [low, high] = [Math.min(a[from], b[from]), Math.max(a[from], b[from])];
    if (value >= low && value <= high && low < high) return between(a[to], b[to], (value - a[from]) / (b[from] - a[from]));
  }
  const [first, last] = [points[0], points[points.length - 1]];
  return Math.abs(first[from] - value) < Math.abs(last[from] - value) ? first[to] : last[to];
}

function lever(wt, one, other) {
  const share = (other.wt - wt) / (other.wt - one.wt);
  return [{ ...one, share }, { ...other, share: 1 - share }];
}

function read(wt, t) {
  const liquidus = along(lines.liquidus, wt, 0, 1);
  const solidus = along(lines.solidus, wt, 0, 1);
  const [, mostBi, leastBi] = lines.solvus[lines.solvus.length - 1];
  let parts;
  if (t >= liquidus) {
    parts = [{ label: "liquid", wt, share: 1 }];
  } else if (t > solidus) {
    const tinSide = wt < eutecticWt;
    const near = (edge) => (point) => (tinSide ? point[0] <= edge : point[0] >= edge);
    const liquid = along(lines.liquidus.filter(near(eutecticWt)), t, 1, 0);
    const solid = along(lines.solidus.filter(near(tinSide ? mostBi : leastBi)), t, 1, 0);
    parts = lever(wt, { label: "liquid", wt: liquid }, { label: tinSide ? "(Sn)" : "(Bi)", wt: solid });
  } else {
    const [tin, bismuth] = [along(lines.solvus, t, 0, 1), along(lines.solvus, t, 0, 2)];
    if (wt <= tin || (wt < eutecticWt && t > lines.eutectic[1])) parts = [{ label: "(Sn)", wt, share: 1 }];
    else if (wt >= bismuth || t > lines.eutectic[1]) parts = [{ label: "(Bi)", wt, share: 1 }];
    else parts = lever(wt, { label: "(Sn)", wt: tin }, { label: "(Bi)", wt: bismuth });
  }
  return { liquidus, solidus, parts };
}

const place = (box, t) => {
  const [low, high] = [Number(fields.t.min), Number(fields.t.max)];
  return Number(box.getAttribute("y")) + ((high - t) / (high - low)) * Number(box.getAttribute("height"));
};

function set(id, attributes) {
  for (const [name, value] of Object.entries(attributes)) byId(id).setAttribute(name, value);
}

function cell(tag, text, kind) {
  const element = document.createElement(tag);
  element.textContent = text;
  if (kind) element.className = kind;
  if (tag === "th") element.scope = "row";
  return element;
}

function show(wt, t) {
  if (!Number.isFinite(wt) || !Number.isFinite(t) || !fields.bi.validity.valid || !fields.t.validity.valid) return;
  const found = read(wt, t);
  const y = place(surface, t);
  const ends = found.parts.map((part) => part.wt);
  set("cross", { visibility: "visible" });
  set("cross-x", { x1: `${wt}%`, x2: `${wt}%` });
  set("cross-y", { y1: y, y2: y });
  set("cross-tie", { x1: `${Math.min(...ends)}%`, x2: `${Math.max(...ends)}%`, y1: y, y2: y });
  set("cross-point", { cx: `${wt}%`, cy: y });
  byId("read-liquidus").textContent = found.liquidus.toFixed(1);
  byId("read-solidus").textContent = found.solidus.toFixed(1);
  byId("read-parts").replaceChildren(
    ...found.parts.map((part) => {
      const row = document.createElement("tr");
      row.append(
        cell("th", part.label),
        cell("td", (100 * part.share).toFixed(1), "num decides"),
        cell("td", part.wt.toFixed(1), "num"),
      );
      return row;
    }),
  );
}

function pointed(event) {
  const box = surface.getBoundingClientRect();
  const [low, high] = [Number(fields.t.min), Number(fields.t.max)];
  const wt = 100 * Math.min(Math.max((event.clientX - box.left) / box.width, 0), 1);
  const t = high - (high - low) * Math.min(Math.max((event.clientY - box.top) / box.height, 0), 1);
  return [Math.round(wt * 2) / 2, Math.round(t)];
}

const kept = () => show(fields.bi.valueAsNumber, fields.t.valueAsNumber);

surface.addEventListener("pointermove", (event) => show(...pointed(event)));
surface.addEventListener("pointerleave", kept);
surface.addEventListener("click", (event) => {
  [fields.bi.value, fields.t.value] = pointed(event);
  kept();
});
form.addEventListener("input", (event) => {
  if (event.target === fields.bi || event.target === fields.t) kept();
});
