// SPDX-License-Identifier: MIT
// Balances glTF files with the aplomb command, writes many frames of their clips, and asks the Khronos validator whether
// the results have errors that the files did not have. Arguments: a folder that has node_modules and takes the results,
// the command, the program many_frames, files...
import { execFileSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";
import { writeMade } from "./made.mjs";

const [folder, command, manyFrames, ...given] = process.argv.slice(2);
const validator = createRequire(path.join(folder, "package.json"))("gltf-validator");

/** The severe messages of a file, each with its place, such as "ACCESSOR_MIN_MISMATCH /accessors/3". */
async function errors(file) {
    const report = await validator.validateBytes(new Uint8Array(readFileSync(file)), {
        maxIssues: 0,
        uri: path.basename(file),
        externalResourceFunction: async (uri) =>
            new Uint8Array(readFileSync(path.join(path.dirname(file), decodeURIComponent(uri)))),
    });
    const severe = report.issues.messages.filter((issue) => issue.severity === 0);
    return severe.map((issue) => `${issue.code} ${issue.pointer}`);
}

/** Balances one file; a pose that is out of reach is a result too. */
function balance(file, target, options) {
    try {
        return execFileSync(command, ["balance", file, ...options, "--out", target], { encoding: "utf8" });
    } catch (failure) {
        if (failure.status === 1) return failure.stdout;
        throw new Error(`${file}: ${failure.stderr || failure}`);
    }
}

/** Lets all chains of one file swing; false where it has none, or no clip that moves. */
function follow(file, target) {
    try {
        execFileSync(command, ["follow", file, "--unit", "0.01", "--out", target], { encoding: "utf8", stdio: "pipe" });
        return existsSync(target);
    } catch {
        return false;
    }
}

const moments = [
    ["the clip", []],
    ["no clip", ["--clip", "none"]],
];
let failed = 0;
let clips = 0;
let checked = 0;
let corrected = 0;
let layers = 0;

async function check(file, name, target, before) {
    const added = (await errors(target)).filter((error) => !before.has(error));
    console.log(`${path.basename(file)}, ${name}: ${added.length} errors of ours (${before.size} were there)`);
    for (const error of added) console.log(`  ${error}`);
    failed += added.length;
}

for (const file of [writeMade(folder), ...given]) {
    const before = new Set(await errors(file));
    for (const [name, moment] of moments) {
        const target = path.join(folder, `${checked}-${path.basename(file)}`);
        const text = balance(file, target, ["--load", "25%,back", ...moment]);
        if (/Corrected:/.test(text)) corrected += 1;
        await check(file, name, target, before);
        checked += 1;
    }
    const target = path.join(folder, `frames-${path.basename(file)}`);
    const written = parseInt(execFileSync(manyFrames, [file, target], { encoding: "utf8" }), 10);
    if (written === 0) continue;
    await check(file, `many frames of ${written} clips`, target, before);
    clips += written;
    const layered = path.join(folder, `layer-${path.basename(file)}`);
    if (!follow(file, layered)) continue;
    await check(file, "a layer of follow-through", layered, before);
    layers += 1;
}
console.log(`${checked} files, ${corrected} with a corrected pose; many frames of ${clips} clips; ${layers} layers`);
process.exit(corrected > 0 && clips > 0 && failed === 0 ? 0 : 1);
