// Looks up the tables that were computed when the page was written; nothing is modeled here.
(function () {
  "use strict";
  var table = JSON.parse(document.getElementById("table").textContent);
  var input = function (name) { return document.getElementById(name); };
  // never rounded up to a target that is not reached
  var percent = function (p, target) {
    if (p < target && Math.round(p * 100) >= Math.round(target * 100)) { return Math.floor(p * 1000) / 10 + "%"; }
    return p >= 0.995 ? ">99%" : p < 0.01 ? "<1%" : Math.round(p * 100) + "%";
  };
  var said = function (row, target) {
    return table.builds[row[0]] + " (" + percent(row[1], target) + ", " + table.currency + " " + row[3] + " per 1,000)";
  };
  var show = function () {
    var front = table.fronts[Number(input("years").value)];
    var typed = input("target").value === "" ? input("target").defaultValue : input("target").value;
    var target = Math.min(Math.max(Number(typed) || 0, 1), 99) / 100;
    var budget = input("budget").value === "" ? Infinity : Number(input("budget").value);
    var affordable = front.filter(function (row) { return row[2] <= budget; });
    var reaching = affordable.filter(function (row) { return row[1] >= target; });
    var text = "No option costs so little";
    if (reaching.length) {
      text = "Lowest cost that reaches " + Math.round(target * 100) + "%: " + said(reaching[0], target);
    } else if (affordable.length) {
      text = "Target not met (" + Math.round(target * 100) + "%). Highest probability" +
        (budget === Infinity ? ": " : " within the budget: ") +
        said(affordable[affordable.length - 1], target);
    }
    input("found").textContent = text + (affordable.length ? ". For its dangers, rank with these inputs." : ".");
  };
  ["years", "target", "budget"].forEach(function (name) { input(name).addEventListener("input", show); });
  document.querySelector("#controls form").addEventListener("submit", function (event) { event.preventDefault(); });
  input("controls").hidden = false;
  show();
})();
