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
const drawing = figure.querySelector("svg");
const said = figure.querySelector(".pointed");
const idle = said.textContent;
const marks = [...drawing.querySelectorAll(".point[id]")];
const rows = new Map([...figure.parentElement.querySelectorAll("tr[data-point]")].map((row) => [row.dataset.point, row]));
let lit = null;
function light(mark) {
if (lit) {
lit.classList.remove("is-lit");
rows.get(lit.id)?.classList.remove("is-lit");
}
lit = mark;
if (mark) {
mark.classList.add("is-lit");
rows.get(mark.id)?.classList.add("is-lit");
}
said.textContent = mark ? mark.querySelector("title").textContent : idle;
}
function nearest(event) {
let best = null;
let reach = 40;
for (const mark of marks) {
const box = mark.getBoundingClientRect();
const far = Math.hypot(box.x + box.width / 2 - event.clientX, box.y + box.height / 2 - event.clientY);
if (far < reach) [best, reach] = [mark, far];
}
return best;
}
drawing.addEventListener("pointermove", (event) => light(nearest(event)));
drawing.addEventListener("pointerdown", (event) => light(nearest(event)));
drawing.addEventListener("pointerleave", (event) => { if (event.pointerType === "mouse") light(null); });
for (const [id, row] of rows) {
const mark = document.getElementById(id);
row.addEventListener("pointerenter", () => light(mark));
row.addEventListener("focusin", () => light(mark));
}
}
})();
