// Whether the meter's leads are shown on the circuit or on the board. Kept for this window.
import { Store } from "./store";

export const grounds = ["circuit", "board"] as const;
export type Ground = (typeof grounds)[number];

const key = "gapwright leads on";

class LeadsOn extends Store {
  private chosen: Ground | null = null;

  get ground(): Ground {
    return (this.chosen ??= kept());
  }

  choose(ground: Ground): void {
    this.chosen = ground;
    try {
      sessionStorage.setItem(key, ground);
    } catch {
      // Storage is full or forbidden: the page still holds it.
    }
    this.changed();
  }
}

function kept(): Ground {
  try {
    return grounds.find((ground) => ground === sessionStorage.getItem(key)) ?? "circuit";
  } catch {
    return "circuit"; // forbidden
  }
}

export const leadsOn = new LeadsOn();
