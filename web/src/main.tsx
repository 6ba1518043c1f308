import { render } from "preact";
import { App } from "./app";
import { folder } from "./folder_store";
import { heart } from "./pulse";
import { place } from "./route";

place.start();
void folder.load();
heart.start();
const page = document.getElementById("page");
if (page) {
  page.replaceChildren();
  render(<App />, page);
}
