// Jump buttons to the parts of a long page, each with its count.

export type Part = readonly [id: string, text: string];

// The part after the # of the address is the route, so an anchor cannot be used. The focus moves to the part too.
function show(id: string): void {
  const part = document.getElementById(id);
  part?.scrollIntoView();
  part?.focus({ preventScroll: true });
}

export function Contents({ parts }: { parts: readonly Part[] }) {
  return (
    <nav class="filters no-print" aria-label="On this page">
      {parts.map(([id, text]) => (
        <button key={id} type="button" onClick={() => show(id)}>
          {text}
        </button>
      ))}
    </nav>
  );
}
