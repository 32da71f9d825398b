// Reads every .nc file of a folder with the npm packages gcode-parser and gcode-toolpath and writes, beside each, a text
// with a line for each move: motion, end x y z in mm, and for arcs the centre x y; then one line with the number of words.
// Usage: node programs.cjs FOLDER
const fs = require("fs");
const path = require("path");
const folder = path.resolve(process.argv[2]);
const packages = path.join(folder, "node_modules");
const parser = require(path.join(packages, "gcode-parser"));
const Toolpath = require(path.join(packages, "gcode-toolpath"));

for (const name of fs.readdirSync(folder).filter((file) => file.endsWith(".nc"))) {
    const text = fs.readFileSync(path.join(folder, name), "latin1");
    const lines = [];
    const toolpath = new Toolpath({
        addLine: (modal, from, to) => lines.push([modal.motion, to.x, to.y, to.z].join(" ")),
        addArcCurve: (modal, from, to, centre) => lines.push([modal.motion, to.x, to.y, to.z, centre.x, centre.y].join(" ")),
    });
    toolpath.loadFromStringSync(text);
    const parsed = parser.parseStringSync(text);
    const words = parsed.reduce((sum, line) => sum + line.words.length, 0);
    fs.writeFileSync(path.join(folder, name + ".read"), lines.join("\n") + "\nwords " + words + "\n");
}
