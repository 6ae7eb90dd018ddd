"""What may be wrong with a page at a reader's width: the browser is asked where things are."""

from __future__ import annotations

TARGET_PX, SMALLEST_PX = 44, 12
"""CSS pixels that a link to be tapped is high, and that letters have at the least [judgement]."""

BASE = """
const seen = node => {
  const style = getComputedStyle(node);
  return style.visibility !== 'hidden' && node.getClientRects().length > 0
    && !node.closest('[style*="display:none"]');
};
const short = text => text.trim().replace(/\\s+/g, ' ').slice(0, 50);
const leaves = () => {
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode;
    if (!node.data.trim() || !seen(node.parentElement)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const rects = [...range.getClientRects()].filter(r => r.width > 0.5 && r.height > 0.5);
    found.push({node, rects, text: short(node.data)});
  }
  return found;
};
"""

WIDE = "() => document.documentElement.scrollWidth"

OUTSIDE = (
    "() => {"
    + BASE
    + """
  const found = [];
  const blocks = ['block', 'table-cell', 'list-item', 'table', 'flex'];
  for (const {node, rects, text} of leaves()) {
    let box = node.parentElement;
    while (!blocks.includes(getComputedStyle(box).display)) box = box.parentElement;
    const around = box.getBoundingClientRect();
    for (const r of rects)
      if (r.left < around.left - 1 || r.right > around.right + 1
          || r.top < around.top - 3 || r.bottom > around.bottom + 3) { found.push(text); break; }
    for (let up = box; up; up = up.parentElement) {
      const style = getComputedStyle(up);
      if (style.overflowX === 'visible' && style.overflowY === 'visible') continue;
      if (up.scrollWidth > up.clientWidth + 1 || up.scrollHeight > up.clientHeight + 1)
        found.push('cut: ' + text);
    }
  }
  return [...new Set(found)];
}"""
)
"""Text that does not stand within its block, or is cut off by something around it. Letters may
reach three pixels above or below a tight line."""

OVERLAPPING = (
    "() => {"
    + BASE
    + """
  const boxes = [];
  leaves().forEach(({rects, text}, leaf) => rects.forEach(r => boxes.push({leaf, text,
    left: r.left + 1, right: r.right - 1,
    top: r.top + r.height / 5, bottom: r.bottom - r.height / 5})));
  boxes.sort((a, b) => a.top - b.top);
  const found = [];
  boxes.forEach((a, n) => {
    for (const b of boxes.slice(n + 1)) {
      if (b.top >= a.bottom) break;
      if (a.leaf !== b.leaf && a.left < b.right && b.left < a.right)
        found.push(a.text + ' / ' + b.text);
    }
  });
  return [...new Set(found)];
}"""
)
"""Texts that stand on one another; the fifth of a line above and below its letters is let go."""

SMALL = (
    "smallest => {"
    + BASE
    + """
  return leaves().filter(({node}) =>
    parseFloat(getComputedStyle(node.parentElement).fontSize) < smallest).map(({text}) => text);
}"""
)

LOW = (
    "target => {"
    + BASE
    + """
  return [...document.querySelectorAll('a.answer')].filter(seen)
    .filter(link => link.getBoundingClientRect().height < target)
    .map(link => short(link.textContent));
}"""
)

UNTOLD = """() => [...document.images].filter(image => {
  const told = document.createElement('p');
  told.textContent = image.alt;
  told.style.cssText = 'margin:0;border:0;padding:0';
  image.parentElement.before(told);
  const needed = told.getBoundingClientRect().height;
  told.remove();
  const has = image.getBoundingClientRect();
  return !image.alt.trim() || has.height < needed - 3 || has.width < 100;
}).map(image => image.alt)"""
"""The words of pictures that are not there and whose words have no room in their place."""


def faults(page: object, width: int) -> list[str]:
    """What is wrong with an open page `width` CSS pixels wide; empty where nothing is."""
    ask = page.evaluate  # type: ignore[attr-defined]
    found = []
    if (wide := ask(WIDE)) > width:
        found.append(f"it is {wide} px wide")
    found += [f"outside its box: {text}" for text in ask(OUTSIDE)]
    found += [f"on one another: {text}" for text in ask(OVERLAPPING)]
    found += [f"letters too small: {text}" for text in ask(SMALL, SMALLEST_PX)]
    found += [f"hard to tap: {text}" for text in ask(LOW, TARGET_PX)]
    return found


def untold_pictures(page: object) -> list[str]:
    """Of a page whose pictures are blocked: the words that are not shown in their place."""
    return list(page.evaluate(UNTOLD))  # type: ignore[attr-defined]
