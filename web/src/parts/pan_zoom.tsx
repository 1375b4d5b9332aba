// A viewport onto a large drawing: drag or arrow keys pan; wheel, pinch, + and - zoom; 0 fits the whole drawing. A drawing
// too large to be read as a whole opens at a size that can be read, at the part that matters.

import type { ComponentChildren, Ref } from "preact";
import { useImperativeHandle, useLayoutEffect, useRef } from "preact/hooks";

interface View {
  x: number;
  y: number;
  scale: number;
}

const largest_scale = 30;
const smallest_scale = 0.1;
const edge_px = 20;
const smallest_text_px = 11.05; // a little more than 11: browsers round
const start: View = { x: 0, y: 0, scale: 1 };

function zoomed(view: View, factor: number, x: number, y: number): View {
  const scale = Math.min(largest_scale, Math.max(smallest_scale, view.scale * factor));
  const real = scale / view.scale;
  return { scale, x: x - (x - view.x) * real, y: y - (y - view.y) * real };
}

const keys: Record<string, (view: View, width: number, height: number) => View> = {
  ArrowLeft: (view, width) => ({ ...view, x: view.x + width / 8 }),
  ArrowRight: (view, width) => ({ ...view, x: view.x - width / 8 }),
  ArrowUp: (view, _, height) => ({ ...view, y: view.y + height / 8 }),
  ArrowDown: (view, _, height) => ({ ...view, y: view.y - height / 8 }),
  "+": (view, width, height) => zoomed(view, 1.25, width / 2, height / 2),
  "=": (view, width, height) => zoomed(view, 1.25, width / 2, height / 2),
  "-": (view, width, height) => zoomed(view, 0.8, width / 2, height / 2),
};

interface Box {
  left: number;
  top: number;
  width: number;
  height: number;
}

export interface PanZoomControls {
  open_at: (parts: Element[], around: Element[]) => void; // as a drawing is seen first; with what is around if there is room
  zoom_to: (parts: Element[]) => void;
  centre_on: (x: number, y: number) => void; // a point of the screen
}

// In pixels at scale 1, where the drawing is as wide as the frame.
function smallest_text(sheet: HTMLElement): number {
  const svg = sheet.querySelector("svg");
  const width = svg?.viewBox.baseVal.width ?? 0;
  if (!svg || width === 0) return smallest_text_px;
  const sizes = Array.from(svg.querySelectorAll("text[font-size]"), (text) => Number(text.getAttribute("font-size")));
  const smallest = Math.min(...sizes.filter((size) => size > 0));
  return Number.isFinite(smallest) ? (smallest * sheet.offsetWidth) / width : smallest_text_px;
}

class PanZoomControl implements PanZoomControls {
  view = start;
  private readonly pointers = new Map<number, { x: number; y: number }>();
  moved = false;

  constructor(
    private readonly frame: HTMLElement,
    private readonly sheet: HTMLElement,
  ) {}

  show(view: View): void {
    this.view = view;
    this.sheet.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
  }

  private spread(): { x: number; y: number; size: number } {
    const [a, b] = [...this.pointers.values()];
    const box = this.frame.getBoundingClientRect();
    const one = a ?? { x: 0, y: 0 };
    const two = b ?? one;
    return { x: (one.x + two.x) / 2 - box.left, y: (one.y + two.y) / 2 - box.top, size: Math.hypot(one.x - two.x, one.y - two.y) };
  }

  down(event: PointerEvent): void {
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    this.moved = false;
  }

  move(event: PointerEvent): void {
    if (!this.pointers.has(event.pointerId)) return;
    const before = this.spread();
    this.pointers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    const after = this.spread();
    const far = Math.hypot(after.x - before.x, after.y - before.y) > 2;
    if (far && !this.moved) this.frame.setPointerCapture(event.pointerId);
    this.moved ||= far;
    if (!this.moved && before.size === 0) return;
    const panned = { ...this.view, x: this.view.x + after.x - before.x, y: this.view.y + after.y - before.y };
    this.show(before.size > 0 && after.size > 0 ? zoomed(panned, after.size / before.size, after.x, after.y) : panned);
  }

  up(event: PointerEvent): void {
    this.pointers.delete(event.pointerId);
  }

  wheel(event: WheelEvent): void {
    event.preventDefault();
    const box = this.frame.getBoundingClientRect();
    this.show(zoomed(this.view, Math.exp(-event.deltaY / 400), event.clientX - box.left, event.clientY - box.top));
  }

  key(event: KeyboardEvent): void {
    if (event.target !== this.frame || event.ctrlKey || event.metaKey) return;
    const move = keys[event.key];
    if (!move && event.key !== "0") return;
    event.preventDefault();
    if (!move) this.fit();
    else this.show(move(this.view, this.frame.clientWidth, this.frame.clientHeight));
  }

  private whole_scale(): number {
    const height = this.sheet.offsetHeight;
    return height === 0 ? 1 : Math.min(1, this.frame.clientHeight / height);
  }

  // The scale at which the smallest text can be read.
  private readable_scale(): number {
    return Math.min(largest_scale, smallest_text_px / smallest_text(this.sheet));
  }

  // The whole drawing, in the middle of the viewport.
  fit(): void {
    const { offsetWidth: width, offsetHeight: height } = this.sheet;
    if (width === 0 || height === 0) {
      this.show(start);
      return;
    }
    const scale = this.whole_scale();
    this.show({ scale, x: (this.frame.clientWidth - width * scale) / 2, y: 0 });
  }

  // Where parts are on the sheet, in pixels at scale 1.
  private box_of(parts: Element[]): Box | null {
    if (parts.length === 0) return null;
    const boxes = parts.map((part) => part.getBoundingClientRect());
    const sheet = this.sheet.getBoundingClientRect();
    const left = Math.min(...boxes.map((box) => box.left));
    const top = Math.min(...boxes.map((box) => box.top));
    const { scale } = this.view;
    return {
      left: (left - sheet.left) / scale,
      top: (top - sheet.top) / scale,
      width: (Math.max(...boxes.map((box) => box.right)) - left) / scale,
      height: (Math.max(...boxes.map((box) => box.bottom)) - top) / scale,
    };
  }

  // Puts a point of the sheet into the middle, but shows nothing beyond the edge of the drawing where it can be helped.
  private centre(x: number, y: number, scale: number): void {
    const place = (middle: number, frame: number, sheet: number) =>
      sheet <= frame ? (frame - sheet) / 2 : Math.min(0, Math.max(frame - sheet, frame / 2 - middle));
    this.show({
      scale,
      x: place(x * scale, this.frame.clientWidth, this.sheet.offsetWidth * scale),
      y: place(y * scale, this.frame.clientHeight, this.sheet.offsetHeight * scale),
    });
  }

  open_at(parts: Element[], around: Element[]): void {
    this.show(start);
    const scale = this.readable_scale();
    const wide = this.box_of([...parts, ...around]);
    const fits = wide && wide.width * scale <= this.frame.clientWidth && wide.height * scale <= this.frame.clientHeight;
    const box = fits ? wide : this.box_of(parts);
    if (this.whole_scale() >= scale) this.fit();
    else if (box) this.centre(box.left + box.width / 2, box.top + box.height / 2, scale);
    else this.centre(0, 0, scale);
    // From the left edge, where a line begins, no further than needed.
    const needed = wide && fits ? Math.min(0, this.frame.clientWidth - (wide.left + wide.width) * scale - edge_px) : null;
    if (needed !== null && this.view.x < needed) this.show({ ...this.view, x: needed });
  }

  zoom_to(parts: Element[]): void {
    const box = this.box_of(parts);
    if (!box) return;
    const readable = this.readable_scale();
    const fits = 0.85 * Math.min(this.frame.clientWidth / Math.max(1, box.width), this.frame.clientHeight / Math.max(1, box.height));
    const scale = Math.min(1.25 * readable, Math.max(readable, fits));
    // A wire across the drawing: its text says more than its middle.
    const text = fits < readable ? this.box_of(Array.from(parts[0]?.querySelectorAll("text") ?? []).slice(0, 1)) : null;
    const at = text ?? box;
    this.centre(at.left + at.width / 2, at.top + at.height / 2, scale);
  }

  centre_on(x: number, y: number): void {
    const sheet = this.sheet.getBoundingClientRect();
    const { scale } = this.view;
    this.centre((x - sheet.left) / scale, (y - sheet.top) / scale, Math.max(scale, this.readable_scale()));
  }

  zoom(factor: number): void {
    this.show(zoomed(this.view, factor, this.frame.clientWidth / 2, this.frame.clientHeight / 2));
  }
}

interface Props {
  label: string;
  controls?: Ref<PanZoomControls>;
  readable?: () => void; // back to the view in which it opened
  children: ComponentChildren;
}

export function PanZoom({ label, controls, readable, children }: Props) {
  const frame = useRef<HTMLDivElement>(null);
  const sheet = useRef<HTMLDivElement>(null);
  const control = useRef<PanZoomControl | null>(null);
  useImperativeHandle(controls ?? null, () => ({
    open_at: (parts, around) => control.current?.open_at(parts, around),
    zoom_to: (parts) => control.current?.zoom_to(parts),
    centre_on: (x, y) => control.current?.centre_on(x, y),
  }));
  useLayoutEffect(() => {
    if (!frame.current || !sheet.current) return;
    const mine = new PanZoomControl(frame.current, sheet.current);
    control.current = mine;
    const box = frame.current;
    const wheel = (event: WheelEvent) => mine.wheel(event);
    // A drag is not a pick: the click that ends it is swallowed.
    const click = (event: MouseEvent) => mine.moved && event.stopPropagation();
    box.addEventListener("wheel", wheel, { passive: false });
    box.addEventListener("click", click, { capture: true });
    return () => {
      box.removeEventListener("wheel", wheel);
      box.removeEventListener("click", click, { capture: true });
    };
  }, []);
  return (
    <div class="pan-zoom">
      <div class="pan-zoom-tools no-print" role="group" aria-label="Zoom">
        <button type="button" onClick={() => control.current?.zoom(1.25)} aria-label="Zoom in">
          +
        </button>
        <button type="button" onClick={() => control.current?.zoom(0.8)} aria-label="Zoom out">
          −
        </button>
        <button type="button" onClick={() => control.current?.fit()}>
          Whole drawing
        </button>
        {readable && (
          <button type="button" onClick={readable}>
            Reading size
          </button>
        )}
      </div>
      <div
        class="pan-zoom-frame"
        ref={frame}
        tabIndex={0}
        role="region"
        aria-label={`${label}. Arrow keys move it, plus and minus zoom, 0 shows the whole drawing.`}
        onPointerDown={(event) => control.current?.down(event)}
        onPointerMove={(event) => control.current?.move(event)}
        onPointerUp={(event) => control.current?.up(event)}
        onPointerCancel={(event) => control.current?.up(event)}
        onKeyDown={(event) => control.current?.key(event)}
      >
        <div class="pan-zoom-sheet" ref={sheet}>
          {children}
        </div>
      </div>
    </div>
  );
}
