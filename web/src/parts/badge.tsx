// The program's logo, as in static/icon.svg. Drawn inline: the browser would load an image again with every screen.

const crossing = "M6 9H13C18 9 15 23 20 23H26";

export function Badge() {
  return (
    <svg viewBox="0 0 32 32" width="28" height="28" aria-hidden="true" focusable="false">
      <rect x="1" y="1" width="30" height="30" rx="6" fill="#fffefb" stroke="#1c1c1c" stroke-width="2" />
      <path d={crossing} fill="none" stroke="#c9281f" stroke-width="4" />
      <path d={crossing} fill="none" stroke="#f6d523" stroke-width="1.3" />
      <path d="M6 23H12M20 9H26" fill="none" stroke="#1c1c1c" stroke-width="4" stroke-dasharray="3 2" />
    </svg>
  );
}
