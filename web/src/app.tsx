// The page: which screen is shown, and what holds for all of them.
import { useEffect, useRef } from "preact/hooks";
import { announcer } from "./announce";
import { heart } from "./pulse";
import { place } from "./route";
import { CardScreen } from "./screens/card_screen";
import { ChartScreen } from "./screens/chart_screen";
import { DrawerScreen } from "./screens/drawer_screen";
import { FitScreen } from "./screens/fit_screen";
import { FolderScreen } from "./screens/folder_screen";
import { LinkFrame } from "./screens/link_frame";
import { useStore } from "./store";

export function App() {
  const route = useStore(place).route;
  return (
    <>
      <a
        class="skip"
        href="#main"
        onClick={(event) => {
          event.preventDefault();
          document.getElementById("main")?.focus();
        }}
      >
        Skip to the content
      </a>
      <Ended />
      <Focus />
      {route.at === "folder" && <FolderScreen />}
      {route.at === "link" && <LinkFrame key={route.id} id={route.id} screen={route.screen} />}
      {route.at === "card" && <CardScreen key={route.id} id={route.id} />}
      {route.at === "drawer" && <DrawerScreen key={route.id} id={route.id} />}
      {route.at === "fit" && <FitScreen />}
      {route.at === "chart" && <ChartScreen key={route.id} id={route.id} />}
      <Live />
    </>
  );
}

// After another screen was gone to, the keyboard goes on in it.
function Focus() {
  const route = useStore(place).route;
  const first = useRef(true);
  useEffect(() => {
    if (!first.current) {
      document.getElementById("main")?.focus({ preventScroll: true });
      scrollTo(0, 0);
    }
    first.current = false;
  }, [route]);
  return null;
}

const lost = {
  silent: "The program does not answer: it may be busy, or held up. What you typed is kept here, and goes on once it answers.",
  ended:
    "The program has ended. What you typed is kept here, to be copied: start gapwright open again, and open the address that it prints.",
  elsewhere: "The program was started anew under another address: open the one that it prints. What you typed is kept here.",
};

function Ended() {
  const state = useStore(heart).state;
  if (state === "up") return null;
  return (
    <div class="band ended" role="alert">
      {lost[state]}
    </div>
  );
}

function Live() {
  const { text } = useStore(announcer);
  return (
    <p class="unseen" role="status" aria-live="polite">
      {text}
    </p>
  );
}
