// A text with problems has no parts, and one that cannot be read at all has no settings either.
// What stood there before stays on the screen meanwhile, with what was typed since: else the field
// that somebody is typing in would go.
import type { Edit, Field, LinkView } from "./contract";

export function withLast(view: LinkView, last: LinkView | null, edits: Edit[]): LinkView {
  if (!last || view.problems.length === 0) return view;
  const unread = view.settings.length === 0;
  const noParts = view.parts.length === 0;
  if (!unread && !noParts) return view;
  const typed = (fields: Field[]) => fields.map((field) => withTyped(field, edits));
  const parts = noParts ? last.parts.map((part) => ({ ...part, fields: typed(part.fields) })) : view.parts;
  if (!unread) return { ...view, parts };
  const groups = (list: LinkView["settings"]) => list.map((group) => ({ ...group, fields: typed(group.fields) }));
  return {
    ...view,
    parts,
    settings: groups(last.settings),
    need: last.need && { fields: groups(last.need.fields) },
    title: last.title,
    about: last.about,
    has_circuit: last.has_circuit,
    to_choose: last.to_choose,
  };
}

function withTyped(field: Field, edits: Edit[]): Field {
  const key = JSON.stringify(field.at);
  const edit = edits.findLast((other) => "at" in other && JSON.stringify(other.at) === key);
  return edit && "at" in edit ? { ...field, text: edit.text ?? "" } : field;
}
