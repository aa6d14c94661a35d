"use strict";
for (const box of document.querySelectorAll("input[data-layer]"))
  box.addEventListener("change", () => {
    document.getElementById(box.dataset.layer).hidden = !box.checked;
  });
for (const slide of document.querySelectorAll("input[data-pair]")) {
  const move = () => {
    document.getElementById(slide.dataset.pair).style.clipPath = `inset(0 0 0 ${slide.value}%)`;
  };
  slide.addEventListener("input", move);
  move();
}
