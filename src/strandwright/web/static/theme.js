// Sets the theme before the first paint, so that a dim shop is not lit up by a white flash.
// A classic script on purpose: modules run too late.
(function () {
  let kept = null;
  try { kept = localStorage.getItem("strandwright.theme"); } catch { /* storage is off: follow the device */ }
  if (kept === "light" || kept === "dark" || kept === "sun") document.documentElement.dataset.theme = kept;
})();
