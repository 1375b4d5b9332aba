// Drawings from the program as elements of this page. Only what a drawing needs is let in: shapes, text, patterns; no
// scripts, no handlers, no styles, no addresses. Names in them stay text.

const elements = new Set(
  "svg g path rect circle ellipse line polyline polygon text tspan title desc defs pattern marker clippath use symbol".split(" "),
);
const refused_attributes = /^(on|style$|src$|formaction$)/i;

function clean(element: Element): void {
  for (const child of Array.from(element.children)) {
    if (elements.has(child.localName.toLowerCase()) && child.namespaceURI === "http://www.w3.org/2000/svg") clean(child);
    else child.remove();
  }
  for (const { name, value } of Array.from(element.attributes)) {
    const address = /href$/i.test(name) && !value.startsWith("#");
    const outside = /url\(/i.test(value) && !/^\s*url\(\s*["']?#/i.test(value);
    if (refused_attributes.test(name) || address || outside) element.removeAttribute(name);
  }
}

// Null if it is not a drawing.
export function drawing_of(markup: string): SVGSVGElement | null {
  const parsed = new DOMParser().parseFromString(markup, "image/svg+xml");
  const root = parsed.documentElement;
  if (root.localName !== "svg" || parsed.querySelector("parsererror")) return null;
  clean(root);
  return document.importNode(root, true) as unknown as SVGSVGElement;
}
