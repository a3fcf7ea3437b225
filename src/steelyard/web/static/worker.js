// The worker in which the engine lives: Pyodide, Steelyard's own package, and one gym opened in it.
//
// It is told {boot: urls} once, then {id, question} as often as one likes; it answers {ready}, {failed} or {id, answer}.
// Questions and answers are JSON texts for live/engine.py's Desk. What was started once is kept in this browser, so
// that the next start takes a fraction of the time.
import { forget, keep, kept } from "./engine_store.js";

const PACKAGE = "/lib/steelyard.zip";
const HOMES = "/home/pyodide/homes";
const START = `
import sys
if "${PACKAGE}" not in sys.path:
    sys.path.append("${PACKAGE}")
from pathlib import Path
from steelyard.live.engine import Desk
`;

let desk = null;

async function boot({ pyodide, package: url }) {
  const { loadPyodide } = await import(`${pyodide}pyodide.mjs`);
  const archive = fetched(url);
  const options = { indexURL: pyodide, packageBaseUrl: pyodide, env: { PYTHONHASHSEED: "0" } };
  const memory = await kept(url);
  if (memory) {
    try {
      return started(await loadPyodide({ ...options, _loadSnapshot: memory }), await archive);
    } catch {
      await forget(); // damaged: begin as if there were none
    }
  }
  const python = await loadPyodide({ ...options, _makeSnapshot: true });
  return started(python, await archive, () => remember(python, url));
}

function started(python, archive, imported = () => {}) {
  python.FS.writeFile(PACKAGE, archive);
  python.runPython(START);
  imported();
  const Desk = python.globals.get("Desk");
  const Path = python.globals.get("Path");
  return Desk(Path(HOMES));
}

// Keep the memory as it is now; nobody waits for it. Without room, or in private browsing, the next start takes as
// long as this one.
async function remember(python, url) {
  try {
    await keep(url, python.makeMemorySnapshot());
  } catch {
    return;
  }
}

async function fetched(url) {
  const response = await fetch(url);
  if (!response.ok) {
    throw new Error(`${url} answered ${response.status}`);
  }
  return new Uint8Array(await response.arrayBuffer());
}

onmessage = async ({ data }) => {
  if (data.boot) {
    try {
      desk = await boot(data.boot);
      postMessage({ ready: true });
    } catch (problem) {
      postMessage({ failed: String(problem?.message ?? problem) });
    }
    return;
  }
  try {
    postMessage({ id: data.id, answer: desk.answer(data.question) });
  } catch (problem) {
    forget().catch(() => {}); // in case the memory was at fault, the next start does without it
    postMessage({ id: data.id, failed: String(problem?.message ?? problem) });
  }
};
