// The worker in which the engine lives: Pyodide, Steelyard's own package, and one gym opened in it.
//
// It is told {boot: urls} once, then {id, question} as often as one likes; it answers {ready}, {failed} or {id, answer}.
// Questions and answers are JSON texts for live/engine.py's Desk. What was started once is kept in this browser, so
// that the next start takes a fraction of the time.
import { keep, kept } from "./engine_store.js";

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
  archive.catch(() => {}); // awaited below; Pyodide itself may fail before it
  const snapshot = await kept(url);
  const options = { indexURL: pyodide, packageBaseUrl: pyodide, env: { PYTHONHASHSEED: "0" } };
  const python = snapshot ? await restored(loadPyodide, options, snapshot) : null;
  return started(python ?? (await loadPyodide({ ...options, _makeSnapshot: true })), url, await archive, Boolean(python));
}

async function restored(loadPyodide, options, snapshot) {
  try {
    return await loadPyodide({ ...options, _loadSnapshot: snapshot });
  } catch {
    return null; // of another browser version, or damaged: begin as if there were none
  }
}

function started(python, url, archive, wasRestored) {
  python.FS.writeFile(PACKAGE, archive);
  python.runPython(START);
  if (!wasRestored) {
    remember(python, url);
  }
  const Desk = python.globals.get("Desk");
  const Path = python.globals.get("Path");
  return Desk(Path(HOMES));
}

// Keep the memory as it is now; nobody waits for it. Without room, or in private browsing, the next start takes as
// long as this one.
function remember(python, url) {
  const memory = python.makeMemorySnapshot();
  keep(url, memory).catch(() => {});
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
    postMessage({ id: data.id, failed: String(problem?.message ?? problem) });
  }
};
