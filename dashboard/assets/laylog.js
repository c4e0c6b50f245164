// After a page turn: name the browser tab after the question, and put the keyboard at its top.
window.dash_clientside = Object.assign({}, window.dash_clientside, {
  laylog: {
    // What was done on the last screen is no news on the next.
    hush: function () { return null; },
    turned: function () {
      foldRest();
      window.requestAnimationFrame(function () {
        var heading = document.querySelector("#screen h1");
        if (!heading) { return; }
        document.title = heading.textContent + " · laylog";
        if (window.laylogTurned) { document.getElementById("screen").focus(); }
        window.laylogTurned = true;
      });
      return "";
    }
  }
});

// The questions behind More fold away once one is taken, or the reader turns to something else.
function foldRest(event) {
  var rest = document.getElementById("rest");
  if (!rest || !rest.open || (event && rest.contains(event.target))) { return; }
  rest.open = false;
}
document.addEventListener("click", foldRest);
document.addEventListener("focusin", foldRest);
document.addEventListener("keydown", function (event) {
  var rest = document.getElementById("rest");
  if (event.key !== "Escape" || !rest || !rest.open) { return; }
  rest.open = false;
  rest.querySelector("summary").focus();
});

// Some of what Dash draws is left without a name for a screen reader: the box behind the drop
// zone, and the lists to choose from, which the keyboard reaches through a hidden box before them.
function nameBoxes() {
  var box = document.querySelector("#drop input[type=file]:not([aria-label])");
  if (box) { box.setAttribute("aria-label", "Choose the files of your log"); }
  document.querySelectorAll(".dash-dropdown-focus-target").forEach(function (hidden) {
    var list = hidden.nextElementSibling;
    if (!list || list.disabled) { return; }
    hidden.tabIndex = -1;
    list.tabIndex = 0;
    nameList(list);
  });
  // each choice is a radio button with its label; said to be an option too, it is read out twice
  document.querySelectorAll(".choices [role=option]").forEach(function (choice) {
    choice.removeAttribute("role");
  });
  document.querySelectorAll(".choices [aria-selected]").forEach(function (choice) {
    choice.removeAttribute("aria-selected");
  });
  document.querySelectorAll(".choices[role=listbox], .choices [role=listbox]").forEach(
    function (choices) { choices.setAttribute("role", "radiogroup"); }
  );
}
var named = 0;
function nameList(list) {
  var label = list.closest("label");
  var words = label && label.querySelector("span");
  if (!words || words.id) { return; }
  words.id = "named-" + (named += 1);
  list.setAttribute("aria-labelledby", words.id + " " + list.getAttribute("aria-labelledby"));
}
new MutationObserver(nameBoxes).observe(
  document.documentElement,
  { childList: true, subtree: true, attributes: true, attributeFilter: ["role", "aria-selected"] }
);
document.addEventListener("focusout", nameBoxes);

// A chart is drawn for the width of the screen; paper is narrower. What is folded away but
// belongs on the wall is opened while the page is printed.
var PAPER_PX = 660, HALF_PAPER = { width: 320, height: 190 };
var opened = [];
window.addEventListener("beforeprint", function () {
  opened = Array.from(document.querySelectorAll("details.on-paper:not([open])"));
  opened.forEach(function (fold) { fold.open = true; });
  document.querySelectorAll(".js-plotly-plot").forEach(function (chart) {
    var half = chart.closest(".month-pictures");
    window.Plotly.relayout(chart, half ? HALF_PAPER : { width: PAPER_PX });
  });
});
window.addEventListener("afterprint", function () {
  opened.forEach(function (fold) { fold.open = false; });
  document.querySelectorAll(".js-plotly-plot").forEach(function (chart) {
    window.Plotly.relayout(chart, { width: null, height: null, autosize: true });
  });
});
