// The shape of the blank face: that of a plug in the tables, or rows set by hand.

interface Props {
  shapes: number[][];
  rows: number[];
  name: (rows: number[]) => string;
  take: (rows: number[]) => void;
}

const most_rows = 8;
const most_columns = 60;

export function ShapeForm({ shapes, rows, name, take }: Props) {
  const set_row = (index: number, count: number) => {
    const next = [...rows];
    next[index] = Math.min(most_columns, Math.max(1, count));
    take(next);
  };
  return (
    <div class="shape-form">
      <fieldset class="choice">
        <legend>Cavities in each row, from the top</legend>
        <div class="choice-row">
          {shapes.map((shape) => (
            <button key={name(shape)} type="button" aria-pressed={name(shape) === name(rows)} onClick={() => take(shape)}>
              {name(shape)}
            </button>
          ))}
        </div>
      </fieldset>
      <details>
        <summary>Another shape</summary>
        <div class="shape-rows">
          {rows.map((count, index) => (
            <label key={index} class="field">
              <span class="field-name">Row {index + 1}</span>
              <input
                type="number"
                min={1}
                max={most_columns}
                value={count}
                onChange={(event) => set_row(index, Math.round(Number(event.currentTarget.value)) || 1)}
              />
            </label>
          ))}
          <div class="buttons">
            <button type="button" disabled={rows.length >= most_rows} onClick={() => take([...rows, rows[rows.length - 1] ?? 8])}>
              Add a row
            </button>
            <button type="button" disabled={rows.length <= 1} onClick={() => take(rows.slice(0, -1))}>
              Remove a row
            </button>
          </div>
        </div>
      </details>
    </div>
  );
}
