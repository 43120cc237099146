// What the theme leaves undone for pages opened straight from a folder, and for people who use a
// keyboard or a screen reader.

// A page from a folder may not fetch another one, which the search does for its summaries.
DOCUMENTATION_OPTIONS.SHOW_SEARCH_SUMMARY = location.protocol !== "file:";

// The sidebar holds the name of the book outside its list of pages: make the whole a landmark.
// The arrows that open a unit's pages say so.
document.addEventListener("DOMContentLoaded", () => {
  const sidebar = document.getElementById("pst-primary-sidebar");
  sidebar?.setAttribute("role", "region");
  sidebar?.setAttribute("aria-label", "The book");
  for (const arrow of document.querySelectorAll(".bd-links summary")) {
    const unit = arrow.closest("li").querySelector("a").textContent.trim();
    arrow.setAttribute("aria-label", `Pages of ${unit}`);
  }
});

// What scrolls sideways must be reachable by keyboard and say what it is.
async function nameScrollingParts() {
  await window.MathJax?.startup?.promise;
  for (const part of document.querySelectorAll("mjx-container[display], .table-wrapper")) {
    if (part.scrollWidth > part.clientWidth) {
      const formula = part.matches("mjx-container");
      part.setAttribute("tabindex", "0");
      part.setAttribute("role", "group");
      part.setAttribute("aria-label", `${formula ? "Formula" : "Table"} that scrolls sideways`);
    }
  }
}

addEventListener("load", nameScrollingParts);
addEventListener("resize", nameScrollingParts);

// A question to choose from says at once what it says of the option chosen.
document.addEventListener("change", ({ target }) => {
  const question = target.closest(".choose");
  if (!question) return;
  const answer = question.querySelectorAll(".choose-answer")[target.value].cloneNode(true);
  const right = target.dataset.right === "true";
  const verdict = document.createElement("strong");
  verdict.textContent = right ? "Right. " : "Not yet. ";
  answer.prepend(verdict);
  answer.classList.toggle("right", right);
  question.querySelector(".choose-said").replaceChildren(answer);
});

// On paper nothing can be unfolded: what is folded away is open while the page is printed.
let unfolded = [];
addEventListener("beforeprint", () => {
  unfolded = [...document.querySelectorAll("article details:not([open])")];
  for (const part of unfolded) part.open = true;
});
addEventListener("afterprint", () => {
  for (const part of unfolded) part.open = false;
});
