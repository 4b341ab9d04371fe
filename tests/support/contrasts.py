"""What a browser really paints: every text of a page with its colour and the grounds behind it."""

TEXTS = """() => {
  const painted = (colour) => colour && colour !== 'none' && colour !== 'transparent' && !/, 0\\)$/.test(colour);
  const under = (element, x, y) => {
    const stack = document.elementsFromPoint(x, y);
    const at = stack.indexOf(element);
    const own = element instanceof SVGElement ? 1 : 0;  // a box has its own ground, a letter has none
    for (const other of at < 0 ? [] : stack.slice(at + own)) {
      const style = getComputedStyle(other);
      const drawn = other instanceof SVGElement && !(other instanceof SVGSVGElement);
      if (drawn && (other.tagName === 'text' || other.tagName === 'g')) continue;
      const colour = drawn ? (painted(style.fill) ? style.fill : style.stroke) : style.backgroundColor;
      if (painted(colour)) return colour;
    }
    return null;
  };
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    const text = node.textContent.trim(), element = node.parentElement;
    if (!text || !element.checkVisibility({visibilityProperty: true}) || element.closest('title, desc, .away, .skip')) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const style = getComputedStyle(element), inDrawing = element instanceof SVGElement;
    const size = parseFloat(style.fontSize), bold = parseInt(style.fontWeight) >= 600;
    for (const box of range.getClientRects()) {
      if (box.width < 1 || box.height < 1) continue;
      const grounds = [[0.1, 0.5], [0.5, 0.5], [0.9, 0.5], [0.5, 0.3]].map(([x, y]) =>
        under(element, box.x + x * box.width, box.y + y * box.height)).filter(Boolean);
      found.push({text: text.slice(0, 40), ink: inDrawing ? style.fill : style.color, grounds, inDrawing,
                  large: size >= 24 || (bold && size >= 18.66)});
    }
  }
  return found;
}"""


def hexadecimal(colour: str) -> str:
    """A colour as the browser names it, as ``#rrggbb``."""
    numbers = colour.removeprefix("rgba(").removeprefix("rgb(").rstrip(")").split(",")
    assert len(numbers) == 3, f"a half transparent colour behind or in text: {colour}"
    return "#" + "".join(f"{round(float(n)):02x}" for n in numbers)
