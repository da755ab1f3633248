// Looks at a page as a screen shows it, and gives what is wrong: nothing reaches out of the window but
// in a box that can be pushed along, no number is broken, and every word is told from its ground by
// 4.5 to 1 and more (WCAG 2.2, 1.4.3, by its formula for the luminance). The ground is named last.
(() => {
  const wrong = [];
  const wide = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > wide + 1) wrong.push('wider than the window: ' + document.documentElement.scrollWidth);
  function light(rgb) {
    const [r, g, b] = rgb.match(/[\d.]+/g).slice(0, 3).map(one => {
      const c = one / 255;
      return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  }
  function ground(one) {
    for (let at = one; at; at = at.parentElement) {
      const colour = getComputedStyle(at).backgroundColor;
      if (colour !== 'rgba(0, 0, 0, 0)') return colour;
    }
    return 'rgb(255, 255, 255)';
  }
  for (const one of document.querySelectorAll('body *')) {
    if (one.closest('svg')) continue;
    const name = one.tagName + '.' + (one.getAttribute('class') || '') + ' ' + (one.textContent || '').trim().slice(0, 40);
    const box = one.getBoundingClientRect();
    if (box.right > wide + 1 && !one.closest('.scroll, figure')) wrong.push('out of the window: ' + name);
    const own = [...one.childNodes].filter(n => n.nodeType === 3 && n.textContent.trim());
    if (!own.length) continue;
    const [a, b] = [light(getComputedStyle(one).color), light(ground(one))].sort((x, y) => y - x);
    if ((a + 0.05) / (b + 0.05) < 4.5) wrong.push('contrast ' + ((a + 0.05) / (b + 0.05)).toFixed(2) + ': ' + name);
    if (one.closest('.whole, .new, .was') && /^[-+0-9./ ]+$/.test(own[0].textContent.trim())) {
      const range = document.createRange();
      range.selectNodeContents(own[0]);
      const lines = new Set([...range.getClientRects()].map(r => Math.round(r.top)));
      if (lines.size > 1) wrong.push('a number is broken: ' + name);
    }
  }
  wrong.push('ground ' + (light(ground(document.body)) > 0.5 ? 'light' : 'dark'));
  return wrong;
})()
