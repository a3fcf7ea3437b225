// Compiles the modules of Pyodide's standard library that the engine needs, with Pyodide's own Python.
//
//   node compile_stdlib.mjs PYODIDE_FOLDER SOURCES PYTHON_FILE OUT
//
// PYTHON_FILE is run inside Pyodide with SOURCES mounted at /src; it writes /out.zip, which is copied to OUT.
import fs from "node:fs";
import { pathToFileURL } from "node:url";

const [folder, sources, program, out] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(`${folder}/pyodide.mjs`).href);
const pyodide = await loadPyodide({ indexURL: `${folder}/` });
pyodide.FS.mkdirTree("/src");
pyodide.FS.mount(pyodide.FS.filesystems.NODEFS, { root: sources }, "/src");
pyodide.runPython(fs.readFileSync(program, "utf8"));
fs.writeFileSync(out, pyodide.FS.readFile("/out.zip"));
