// The theme makes navigation, copy buttons and scrolling tables when a page is shown; here each gets a name of its own
// and the keyboard, so that a screen reader tells them apart.
(() => {
  const name = () => {
    const seen = new Map();
    document.querySelectorAll("nav").forEach((nav) => {
      const label = nav.getAttribute("aria-labelledby");
      const title = (label && document.getElementById(label)?.textContent.trim()) || nav.dataset.name ||
        nav.getAttribute("aria-label") || (nav.matches(".md-code__nav") ? "Code" : "Navigation");
      nav.dataset.name = title;
      const count = (seen.get(title) || 0) + 1;
      seen.set(title, count);
      const own = count > 1 ? `${title}, ${count}` : title;
      if (nav.getAttribute("aria-label") !== own) {
        nav.removeAttribute("aria-labelledby");
        nav.setAttribute("aria-label", own);
      }
    });
    document.querySelectorAll(".md-typeset__scrollwrap, pre > code").forEach((wide) => {
      if (!wide.hasAttribute("tabindex")) wide.setAttribute("tabindex", "0");
    });
  };
  new MutationObserver(name).observe(document.documentElement, { childList: true, subtree: true });
  document.addEventListener("DOMContentLoaded", name);
  name();
})();
