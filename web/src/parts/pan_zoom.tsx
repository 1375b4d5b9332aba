// A viewport onto a large drawing: drag or arrow keys pan; wheel, pinch, + and - zoom; 0 fits the whole drawing.

import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";

interface View {
  x: number;
  y: number;
  scale: number;
}

const largest_scale = 12;
const smallest_scale = 0.1;
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

class PanZoomControl {
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

  // The whole drawing, in the middle of the viewport.
  fit(): void {
    const { offsetWidth: width, offsetHeight: height } = this.sheet;
    if (width === 0 || height === 0) {
      this.show(start);
      return;
    }
    const scale = Math.min(1, this.frame.clientHeight / height);
    this.show({ scale, x: (this.frame.clientWidth - width * scale) / 2, y: 0 });
  }

  zoom(factor: number): void {
    this.show(zoomed(this.view, factor, this.frame.clientWidth / 2, this.frame.clientHeight / 2));
  }
}

export function PanZoom({ label, children }: { label: string; children: ComponentChildren }) {
  const frame = useRef<HTMLDivElement>(null);
  const sheet = useRef<HTMLDivElement>(null);
  const control = useRef<PanZoomControl | null>(null);
  useEffect(() => {
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
          Fit
        </button>
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
