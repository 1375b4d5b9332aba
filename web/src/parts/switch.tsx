// A setting that is on or off, as a tick box with its text.

interface Props {
  label: string;
  on: boolean;
  take: (on: boolean) => void;
  disabled?: boolean;
}

export function Switch({ label, on, take, disabled = false }: Props) {
  return (
    <label class="tickbox">
      <input type="checkbox" checked={on} disabled={disabled} onChange={(event) => take(event.currentTarget.checked)} />
      {label}
    </label>
  );
}
