// Files of the plan to print and to take along: asked of the program as the
// plan stands here, and handed to the browser to keep.
import { Refused } from "./ask.js";

const $ = (id) => document.getElementById(id);

export function carry(page) {
  const paper = $("carry-paper");
  paper.value = page.units === "feet" ? "Letter" : "A4";
  let asking = null;
  const say = (words, bad = false) => {
    $("carry-state").textContent = words;
    $("carry-state").className = bad ? "bad" : "quiet";
  };
  for (const b of document.querySelectorAll("#carry-files button")) {
    b.addEventListener("click", async () => {
      asking?.abort();
      const mine = asking = new AbortController(), file = b.dataset.file;
      say(`Making ${file} …`);
      try {
        const response = await fetch("/api/carry", {
          method: "POST", headers: { "Content-Type": "application/json" }, signal: mine.signal,
          body: JSON.stringify({ document: page.plan.now, units: page.units, file, paper: paper.value }),
        });
        if (!response.ok) throw new Refused(response.status, await response.json().catch(() => ({})));
        const blob = await response.blob();
        if (mine.signal.aborted) return;
        keep(file, blob);
        page.carried = { file, bytes: blob.size };
        say(`${file} is among your downloads: ${size(blob.size)}.`);
      } catch (error) {
        if (error.name === "AbortError" || mine.signal.aborted) return;
        say(error instanceof Refused ? `${file} could not be made: ${error.message}.` : `${file} could not be had: the page cannot reach wetfeet.`, true);
      }
    });
  }
}

function keep(name, blob) {
  const at = URL.createObjectURL(blob), a = document.createElement("a");
  a.href = at;
  a.download = name;
  a.click();
  setTimeout(() => URL.revokeObjectURL(at), 60_000);
}

const size = (bytes) => bytes < 950_000 ? `${Math.ceil(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
