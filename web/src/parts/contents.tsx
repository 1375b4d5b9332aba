// What a long sheet holds, with the count of each part: one press leads to it, on a phone past many screens.

export type Part = readonly [id: string, words: string];

// The address names what is selected, so a part is shown by hand and not by an anchor; the focus goes along.
function show(id: string): void {
  const part = document.getElementById(id);
  part?.scrollIntoView();
  part?.focus({ preventScroll: true });
}

export function Contents({ parts }: { parts: readonly Part[] }) {
  return (
    <nav class="filters no-print" aria-label="On this sheet">
      {parts.map(([id, words]) => (
        <button key={id} type="button" onClick={() => show(id)}>
          {words}
        </button>
      ))}
    </nav>
  );
}
