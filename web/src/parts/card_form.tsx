// A card's figures as fields: those that it states, and, folded away, what it does not say.
import type { Field, FieldGroup } from "../contract";
import type { CardStore } from "../card_store";
import { Later } from "../later";
import { FieldBox } from "./field_box";

export function CardForm({ card }: { card: CardStore }) {
  const stated = narrowed(card.groups, (field) => card.isGiven(field));
  const unsaid = narrowed(card.groups, (field) => !card.isGiven(field));
  const count = unsaid.reduce((sum, group) => sum + group.fields.filter((field) => field.origin !== "file").length, 0);
  const urged = unsaid.some((group) => group.fields.some((field) => card.problemsAt(field.at).length > 0));
  if (stated.length === 0) return <p class="note">As its text stands, its figures cannot be shown one by one. Mend it under Whole card.</p>;
  return (
    <section class="card-form" aria-label="Figures">
      <h2>Figures</h2>
      {stated.map((group) => (
        <Group key={group.name} card={card} group={group} />
      ))}
      {unsaid.length > 0 && (
        <Later class="more" summary={`What the card does not say: ${count} ${count === 1 ? "figure" : "figures"}`} urged={urged}>
          {() => (
            <>
              <p class="soft small">What is assumed meanwhile stands in the fields. What you type over it is put into the card.</p>
              {unsaid.map((group) => (
                <Group key={group.name} card={card} group={group} />
              ))}
            </>
          )}
        </Later>
      )}
    </section>
  );
}

function narrowed(groups: FieldGroup[], which: (field: Field) => boolean): FieldGroup[] {
  return groups.map((group) => ({ ...group, fields: group.fields.filter(which) })).filter((group) => group.fields.length > 0);
}

function Group({ card, group }: { card: CardStore; group: FieldGroup }) {
  return (
    <fieldset>
      <legend>{group.name}</legend>
      <div class="fields">
        {group.fields.map((field) => (
          <CardField key={field.at.join("/")} card={card} field={field} />
        ))}
      </div>
    </fieldset>
  );
}

function CardField({ card, field }: { card: CardStore; field: Field }) {
  const typed = card.typedAt(field.at);
  const shown = typed?.text ?? field.text;
  const problems = card.problemsAt(field.at);
  const written = typed?.taken && problems.length === 0 && field.origin === "file" && field.text !== typed.text.trim() ? field.text : "";
  return (
    <FieldBox
      field={field}
      name={field.label}
      shown={shown}
      written={written}
      problems={problems}
      origin={originOf(card, field, shown)}
      onType={(text) => card.type(field.at, text)}
      onKeep={(text) => {
        // Emptied where the card says nothing: what is assumed stands there again.
        if (!text.trim() && !card.isGiven(field)) card.giveBack(field.at);
        else if (text !== shown) card.type(field.at, text);
        void card.settle();
      }}
      onGiveBack={() => {
        card.giveBack(field.at);
        return null; // the answer brings what stands there
      }}
    />
  );
}

function originOf(card: CardStore, field: Field, shown: string): string {
  const instead = shown.trim() === "" && field.text ? ` ${field.text}` : ""; // of a value taken out
  switch (field.origin) {
    case "file":
      return "";
    case "card":
      return `from ${card.basedOn}${instead}`;
    case "assumed":
      return `assumed${instead}`;
    case "absent":
      return field.words.length > 0 && !shown ? "" : "not stated";
  }
}
