// Tabs: one tab of several is shown. Arrow keys, Home and End go from tab to tab; Tab leads into what is shown.

import type { ComponentChildren } from "preact";

export interface Tab<T extends string> {
  id: T;
  text: string;
  count?: number; // of what there is in it
}

interface Props<T extends string> {
  label: string;
  tabs: readonly Tab<T>[];
  chosen: T;
  choose: (id: T) => void;
}

const steps: Record<string, (at: number, count: number) => number> = {
  ArrowRight: (at, count) => (at + 1) % count,
  ArrowLeft: (at, count) => (at + count - 1) % count,
  Home: () => 0,
  End: (_, count) => count - 1,
};

const tab_id = (id: string): string => `tab-${id}`;
const panel_id = (id: string): string => `panel-${id}`;

export function Tabs<T extends string>({ label, tabs, chosen, choose }: Props<T>) {
  const on_key = (event: KeyboardEvent) => {
    const step = steps[event.key];
    const next =
      step &&
      tabs[
        step(
          tabs.findIndex(({ id }) => id === chosen),
          tabs.length,
        )
      ];
    if (!next) return;
    event.preventDefault();
    choose(next.id);
    document.getElementById(tab_id(next.id))?.focus();
  };
  return (
    <div class="tabs no-print" role="tablist" aria-label={label} onKeyDown={on_key}>
      {tabs.map(({ id, text, count }) => (
        <button
          key={id}
          id={tab_id(id)}
          type="button"
          role="tab"
          aria-selected={id === chosen}
          aria-controls={id === chosen ? panel_id(id) : undefined}
          tabIndex={id === chosen ? 0 : -1}
          onClick={() => choose(id)}
        >
          <span class="tab-name">{text}</span>
          {count !== undefined && <span class="tab-count">{count}</span>}
        </button>
      ))}
    </div>
  );
}

export function TabPanel({ id, children }: { id: string; children: ComponentChildren }) {
  return (
    <div class="tab-panel stack" id={panel_id(id)} role="tabpanel" aria-labelledby={tab_id(id)}>
      {children}
    </div>
  );
}
