// The − and + buttons of a share change its field at once; without this they submit the form and the server does it.
const DIGITS = 2;

function stepOf(form) {
  return Number(form.elements.step.value);
}

function change(field, by) {
  const value = Number(field.value.trim().replace(",", ".") || 0);
  if (!Number.isFinite(value)) return false;
  field.value = String(Number(Math.min(Math.max(value + by, 0), 100).toFixed(DIGITS)));
  field.dispatchEvent(new Event("input", { bubbles: true }));
  return true;
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-field]");
  if (!button) return;
  const field = document.getElementById(button.dataset.field);
  if (change(field, Number(button.dataset.way) * stepOf(button.form))) event.preventDefault();
});

document.addEventListener("keydown", (event) => {
  const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
  if (!way || !event.target.matches?.("#shares input[inputmode]")) return;
  if (change(event.target, way * stepOf(event.target.form))) event.preventDefault();
});
