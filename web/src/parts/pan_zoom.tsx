// A window onto a large drawing: drag or arrow keys to pan; wheel, pinch, + and - to zoom; 0 fits it again.

import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";

interface View {
  x: number;
  y: number;
  scale: number;
}

const nearest = 12;
const farthest = 0.1;
const start: View = { x: 0, y: 0, scale: 1 };

function zoomed(view: View, factor: number, x: number, y: number): View {
  const scale = Math.min(nearest, Math.max(farthest, view.scale * factor));
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

class Hand {
  view = start;
  private readonly fingers = new Map<number, { x: number; y: number }>();
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
    const [a, b] = [...this.fingers.values()];
    const box = this.frame.getBoundingClientRect();
    const one = a ?? { x: 0, y: 0 };
    const two = b ?? one;
    return { x: (one.x + two.x) / 2 - box.left, y: (one.y + two.y) / 2 - box.top, size: Math.hypot(one.x - two.x, one.y - two.y) };
  }

  down(event: PointerEvent): void {
    this.fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    this.moved = false;
  }

  move(event: PointerEvent): void {
    if (!this.fingers.has(event.pointerId)) return;
    const before = this.spread();
    this.fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    const after = this.spread();
    const far = Math.hypot(after.x - before.x, after.y - before.y) > 2;
    if (far && !this.moved) this.frame.setPointerCapture(event.pointerId);
    this.moved ||= far;
    if (!this.moved && before.size === 0) return;
    const panned = { ...this.view, x: this.view.x + after.x - before.x, y: this.view.y + after.y - before.y };
    this.show(before.size > 0 && after.size > 0 ? zoomed(panned, after.size / before.size, after.x, after.y) : panned);
  }

  up(event: PointerEvent): void {
    this.fingers.delete(event.pointerId);
  }

  wheel(event: WheelEvent): void {
    event.preventDefault();
    const box = this.frame.getBoundingClientRect();
    this.show(zoomed(this.view, Math.exp(-event.deltaY / 400), event.clientX - box.left, event.clientY - box.top));
  }

  key(event: KeyboardEvent): void {
    if (event.target !== this.frame || event.ctrlKey || event.metaKey) return;
    const act = keys[event.key];
    if (!act && event.key !== "0") return;
    event.preventDefault();
    if (!act) this.fit();
    else this.show(act(this.view, this.frame.clientWidth, this.frame.clientHeight));
  }

  // The whole drawing, in the middle of its window.
  fit(): void {
    const { offsetWidth: width, offsetHeight: height } = this.sheet;
    if (width === 0 || height === 0) return this.show(start);
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
  const hand = useRef<Hand | null>(null);
  useEffect(() => {
    if (!frame.current || !sheet.current) return;
    const mine = new Hand(frame.current, sheet.current);
    hand.current = mine;
    const box = frame.current;
    const wheel = (event: WheelEvent) => mine.wheel(event);
    // A drag is no pick: the click that ends it goes no further.
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
      <div class="pan-zoom-tools no-print" role="group" aria-label="Size of the drawing">
        <button type="button" onClick={() => hand.current?.zoom(1.25)} aria-label="Larger">
          +
        </button>
        <button type="button" onClick={() => hand.current?.zoom(0.8)} aria-label="Smaller">
          −
        </button>
        <button type="button" onClick={() => hand.current?.fit()}>
          Whole
        </button>
      </div>
      <div
        class="pan-zoom-frame"
        ref={frame}
        tabIndex={0}
        role="region"
        aria-label={`${label}. Arrow keys move it, plus and minus change its size, 0 shows it whole.`}
        onPointerDown={(event) => hand.current?.down(event)}
        onPointerMove={(event) => hand.current?.move(event)}
        onPointerUp={(event) => hand.current?.up(event)}
        onPointerCancel={(event) => hand.current?.up(event)}
        onKeyDown={(event) => hand.current?.key(event)}
      >
        <div class="pan-zoom-sheet" ref={sheet}>
          {children}
        </div>
      </div>
    </div>
  );
}
