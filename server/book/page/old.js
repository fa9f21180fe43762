// For a browser from before 2018, which does not run the page's own script.
addEventListener('load', function () {
  document.getElementById('state').textContent = 'This browser is too old to show the page. Open the link on another phone or a computer.';
});
