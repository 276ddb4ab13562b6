(() => {
"use strict";
for (const form of document.querySelectorAll("form.sieve")) {
const rows = [...document.getElementById(form.dataset.for).tBodies[0].rows];
const status = form.querySelector("[role=status]");
form.addEventListener("input", () => {
const hide = [...form.querySelectorAll("input:checked")].map((input) => input.value);
let shown = 0;
for (const row of rows) {
row.hidden = row.dataset.has.split(" ").some((word) => hide.includes(word));
shown += row.hidden ? 0 : 1;
}
status.textContent = hide.length ? form.dataset.count.replace("{n}", shown).replace("{of}", rows.length) : "";
});
form.addEventListener("submit", (event) => event.preventDefault());
}
for (const figure of document.querySelectorAll("[data-map]")) {
const said = figure.querySelector(".pointed");
const idle = said.textContent;
const marks = [...figure.querySelectorAll("[data-point]")];
const rows = new Map([...figure.parentElement.querySelectorAll("tr[data-point]")].map((row) => [row.dataset.point, row]));
let lit = null;
function light(id) {
if (id === lit) return;
lit = id;
for (const mark of marks) {
const on = mark.dataset.point === id;
mark.classList.toggle("is-lit", on);
if (on) said.textContent = mark.querySelector("title").textContent;
}
for (const [point, row] of rows) row.classList.toggle("is-lit", point === id);
if (!id) said.textContent = idle;
}
function nearest(drawing, event) {
let best = null;
let reach = 40;
for (const mark of drawing.querySelectorAll("[data-point]:not(.is-aside)")) {
const box = mark.getBoundingClientRect();
const far = Math.hypot(box.x + box.width / 2 - event.clientX, box.y + box.height / 2 - event.clientY);
if (far < reach) [best, reach] = [mark.dataset.point, far];
}
return best;
}
for (const drawing of figure.querySelectorAll(".balance-map")) {
drawing.addEventListener("pointermove", (event) => light(nearest(drawing, event)));
drawing.addEventListener("pointerdown", (event) => light(nearest(drawing, event)));
drawing.addEventListener("pointerleave", (event) => { if (event.pointerType === "mouse") light(null); });
}
for (const [id, row] of rows) {
row.addEventListener("pointerenter", () => light(id));
row.addEventListener("focusin", () => light(id));
}
const key = [...figure.querySelectorAll(".key [data-families]")];
for (const entry of key) {
const button = document.createElement("button");
button.type = "button";
button.setAttribute("aria-pressed", "false");
button.append(...entry.childNodes);
entry.append(button);
button.addEventListener("click", () => {
const alone = button.getAttribute("aria-pressed") === "false" ? entry.dataset.families.split("|") : null;
for (const other of key) other.firstChild.setAttribute("aria-pressed", String(other === entry && alone !== null));
for (const part of figure.querySelectorAll(".balance-map [data-family]")) {
part.classList.toggle("is-aside", alone !== null && !alone.includes(part.dataset.family));
}
light(null);
});
}
}
})();
