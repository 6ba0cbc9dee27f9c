(function () {
  var box = document.getElementById('search');
  var rows = Array.prototype.slice.call(document.querySelectorAll('tbody tr'));
  var texts = rows.map(function (row) { return row.textContent.toLowerCase(); });
  var count = document.getElementById('count');
  function show() {
    var words = box.value.toLowerCase().split(/\s+/).filter(Boolean), n = 0;
    rows.forEach(function (row, i) {
      var fits = words.every(function (word) { return texts[i].indexOf(word) >= 0; });
      row.hidden = !fits;
      if (fits) { n += 1; }
    });
    count.textContent = n + ' of ' + rows.length + ' jobs';
  }
  box.addEventListener('input', show);
  box.closest('p').hidden = false;
  show();
})();
