// After a page turn: name the browser tab after the question, and put the keyboard at its top.
window.dash_clientside = Object.assign({}, window.dash_clientside, {
  laylog: {
    // What was done on the last screen is no news on the next.
    hush: function () { return null; },
    turned: function () {
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

// The box behind the drop zone is made by Dash without a name; a screen reader needs one.
new MutationObserver(function () {
  var box = document.querySelector("#drop input[type=file]:not([aria-label])");
  if (box) { box.setAttribute("aria-label", "Choose the files of your log"); }
}).observe(document.documentElement, { childList: true, subtree: true });

// A chart is drawn for the width of the screen; paper is narrower.
var PAPER_PX = 660;
window.addEventListener("beforeprint", function () {
  document.querySelectorAll(".js-plotly-plot").forEach(function (chart) {
    window.Plotly.relayout(chart, { width: PAPER_PX });
  });
});
window.addEventListener("afterprint", function () {
  document.querySelectorAll(".js-plotly-plot").forEach(function (chart) {
    window.Plotly.relayout(chart, { width: null, autosize: true });
  });
});
