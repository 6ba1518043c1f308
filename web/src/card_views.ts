// What the program says of a card, and what of it outlives a text with problems.
import type { CardView, Field, FieldGroup } from "./contract";
import { keyOf, samePath } from "./path";

// Whether its text has no problems; an edit that is not in it is none of the text's.
function isSound(view: CardView): boolean {
  return view.problems.every(({ at }) => at && view.refused.some((other) => samePath(other, at)));
}

export function canBe(view: CardView): boolean {
  return isSound(view) && !view.findings.some((finding) => finding.grave);
}

// Of a text with problems nobody knows what is assumed: what was before stays in its fields.
export function groupsWithLast(view: CardView, last: CardView | null): FieldGroup[] {
  if (isSound(view)) return view.groups;
  const before = last?.groups.flatMap((group) => group.fields) ?? [];
  const known = (field: Field) => {
    const old = field.origin === "absent" && before.find((other) => samePath(other.at, field.at));
    return old && old.origin !== "file" ? old : field;
  };
  return view.groups.map((group) => ({ ...group, fields: group.fields.map(known) }));
}

// The values that the card says, by itself or by the one that it is based on; its title and source
// always.
export function fieldsGiven(view: CardView): Set<string> {
  const about = view.groups[0]?.fields ?? [];
  const fields = view.groups.flatMap((group) => group.fields);
  const stated = fields.filter((field) => field.origin === "file" || field.origin === "card");
  return new Set([...about, ...stated].map((field) => keyOf(field.at)));
}
