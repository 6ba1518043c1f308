// A drawer: the parts at hand as a table, resistors with their colour bands.
import { useEffect, useState } from "preact/hooks";
import { ask, Ended, refusalFrom } from "../ask";
import { RefusalNote } from "../common";
import type { DrawerRow, DrawerView, Refusal } from "../contract";
import { Bands } from "../parts/bands";
import { heart } from "../pulse";
import { useStore } from "../store";
import { Top } from "./top";

export function DrawerScreen({ id }: { id: string }) {
  const up = useStore(heart).state === "up";
  const [drawer, setDrawer] = useState<DrawerView | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const [saving, setSaving] = useState(false);
  const refuse = (error: unknown) => {
    if (!(error instanceof Ended)) setRefusal(refusalFrom(error));
  };
  const read = () => ask<DrawerView>(`/api/drawers/${encodeURIComponent(id)}`).then(setDrawer, refuse);
  useEffect(() => {
    if (up && !drawer) void read();
  }, [id, up]);
  // Each change is saved at once, as everywhere.
  const save = async (rows: string[][]) => {
    if (!drawer) return;
    setSaving(true);
    try {
      const body = { id, columns: drawer.columns, rows, replaces: drawer.text };
      setDrawer(await ask<DrawerView>("/api/drawers", { body }));
      setRefusal(null);
    } catch (error) {
      refuse(error);
    }
    setSaving(false);
  };
  const cells = drawer?.rows.map((row) => row.cells) ?? [];
  return (
    <>
      <Top
        title={drawer?.name ?? "Drawer"}
        note={drawer ? `${drawer.rows.length} kinds of parts at hand${saving ? " · saving …" : ""}` : ""}
      />
      <main id="main" tabIndex={-1} class="screen">
        {refusal && <RefusalNote refusal={refusal} onClose={() => setRefusal(null)} />}
        {refusal && (
          <p>
            <button
              type="button"
              onClick={() => {
                setRefusal(null);
                void read();
              }}
            >
              Read the file again
            </button>
          </p>
        )}
        {!drawer && !refusal && <p class="soft">Reading the drawer …</p>}
        {drawer && (
          <>
            <div class="scroll" tabIndex={0} role="group" aria-label="Parts at hand">
              <table class="drawer">
                <caption>Parts at hand</caption>
                <thead>
                  <tr>
                    <th scope="col">bands</th>
                    {inOrder(drawer.columns).map(([column]) => (
                      <th key={column} scope="col">
                        {column}
                      </th>
                    ))}
                    <th scope="col">
                      <span class="unseen">take out</span>
                    </th>
                  </tr>
                </thead>
                <tbody>
                  {drawer.rows.map((row, index) => (
                    <Row
                      key={`${index} ${row.cells.join(",")}`}
                      row={row}
                      number={index + 1}
                      columns={drawer.columns}
                      onChange={(changed) => void save(cells.map((other, at) => (at === index ? changed : other)))}
                      onTake={() => void save(cells.filter((_, at) => at !== index))}
                    />
                  ))}
                </tbody>
              </table>
            </div>
            <p class="buttons">
              <button
                type="button"
                disabled={saving}
                onClick={() => void save([...cells, drawer.columns.map((column) => fresh[column] ?? "")])}
              >
                Add a row
              </button>
            </p>
            <p class="soft small">A row without a count holds as many as are wanted. Parts without a value are named by their card.</p>
          </>
        )}
      </main>
    </>
  );
}

const fresh: Record<string, string> = { kind: "resistor", value: "330 Ω", tolerance: "5 %", power: "0.25 W" };

// What it is and how many there are come first, whatever the file's order: a telephone shows no more.
function inOrder(columns: string[]): [column: string, at: number][] {
  const ranked = ["kind", "value", "count"];
  const rank = (column: string) => (ranked.includes(column) ? ranked.indexOf(column) : ranked.length);
  return columns.map((column, at): [string, number] => [column, at]).sort(([a], [b]) => rank(a) - rank(b));
}

interface RowProps {
  row: DrawerRow;
  number: number;
  columns: string[];
  onChange: (cells: string[]) => void;
  onTake: () => void;
}

function Row({ row, number, columns, onChange, onTake }: RowProps) {
  const [cells, setCells] = useState(row.cells);
  return (
    <>
      <tr>
        <td>
          <Bands colours={row.bands} />
        </td>
        {inOrder(columns).map(([column, at]) => (
          <td key={column}>
            <input
              type="text"
              autocomplete="off"
              spellcheck={false}
              size={column === "note" || column === "card" ? 18 : 9}
              aria-label={`${column} of row ${number}`}
              aria-invalid={row.problem ? true : undefined}
              value={cells[at] ?? ""}
              onInput={(event) => setCells(cells.map((cell, other) => (other === at ? event.currentTarget.value : cell)))}
              onChange={() => cells.join("\n") !== row.cells.join("\n") && onChange(cells)}
            />
          </td>
        ))}
        <td>
          <button type="button" class="quiet" aria-label={`Take row ${number} out`} onClick={onTake}>
            ✕
          </button>
        </td>
      </tr>
      {row.problem && (
        <tr>
          <td />
          <td colSpan={columns.length + 1}>
            <strong class="verdict broken">✗</strong> {row.problem}
          </td>
        </tr>
      )}
    </>
  );
}
