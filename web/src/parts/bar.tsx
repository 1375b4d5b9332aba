// A share as a bar, 0 to 1. The figure is written beside it, so screen readers skip the bar.

export function Bar({ share, kind = "plain", limit }: { share: number; kind?: "plain" | "good" | "bad"; limit?: number }) {
  const width = 100 * Math.min(1, Math.max(0, share));
  return (
    <svg class={`bar bar-${kind}`} viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true" focusable="false">
      <rect class="bar-ground" x="0" y="0" width="100" height="8" />
      <rect class="bar-fill" x="0" y="1" width={width} height="6" />
      {limit !== undefined && <path class="bar-limit" d={`M${limit * 100} 0V8`} vector-effect="non-scaling-stroke" />}
    </svg>
  );
}
