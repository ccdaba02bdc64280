// What scrolls sideways on a small screen can be reached by keyboard.
const boxes = new ResizeObserver((entries) => {
  for (const { target } of entries) {
    if (target.scrollWidth > target.clientWidth) target.setAttribute("tabindex", "0");
    else target.removeAttribute("tabindex");
  }
});
export const reachable = (wide) => boxes.observe(wide);
for (const wide of document.querySelectorAll(".wide")) reachable(wide);
