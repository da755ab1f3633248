// Looks at every element of a page at the width that it has on paper, and gives what is wrong: what
// is wider than the paper, what is cut off, what is too small.
(() => {
  const wrong = [];
  const body = document.body.getBoundingClientRect();
  for (const one of document.querySelectorAll('body *')) {
    if (!one.getClientRects().length) continue;
    const box = one.getBoundingClientRect();
    const name = one.tagName + '.' + (one.getAttribute('class') || '') + ' ' + (one.textContent || '').trim().slice(0, 40);
    if (box.right > body.right + 1 || box.left < body.left - 1) wrong.push('over the edge: ' + name);
    if (one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0 && !one.closest('svg')) wrong.push('cut: ' + name);
    const own = [...one.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
    // The keys of the sheet stand small beside their labels.
    if (own && one.closest('.cab-card, .run-form') && !one.closest('.key')) {
      let size = parseFloat(getComputedStyle(one).fontSize);
      if (one.closest('svg')) size *= one.getScreenCTM().a;
      if (size < 15.99) wrong.push('smaller than 12 pt: ' + size + ' ' + name);
    }
  }
  // 36 points are 48 pixels, 6 mm are 22.68.
  for (const one of document.querySelectorAll('.frame .new')) {
    const size = parseFloat(getComputedStyle(one).fontSize);
    if (size < 47.9) wrong.push('a value to set of ' + size + ' px: ' + one.textContent);
  }
  for (const one of document.querySelectorAll('.box')) {
    const box = one.getBoundingClientRect();
    if (Math.min(box.width, box.height) < 22.6) wrong.push('a box of ' + box.width + ' x ' + box.height + ' px');
  }
  for (const one of document.querySelectorAll('.blanks tbody td:not(.place)')) {
    // Rows of 10 mm.
    if (one.getBoundingClientRect().height < 37.7) wrong.push('a row of ' + one.getBoundingClientRect().height + ' px');
  }
  for (const picture of document.querySelectorAll('svg')) {
    const words = [...picture.querySelectorAll('text')].filter(t => t.textContent.trim()).map(t => [t.textContent, t.getBoundingClientRect()]);
    for (let i = 0; i < words.length; i++) for (let k = i + 1; k < words.length; k++) {
      const [a, b] = [words[i][1], words[k][1]];
      const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (across > 1 && down > 5) wrong.push('one over the other: ' + words[i][0] + ' / ' + words[k][0]);
    }
  }
  return wrong;
})()
