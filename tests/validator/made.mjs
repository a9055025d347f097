// SPDX-License-Identifier: MIT
// A small glTF file: 16 joints in a skin, a mesh of one triangle, a clip of two keys with a stepping and a
// cubic track too; its buffer is a file beside it.
import { writeFileSync } from "node:fs";
import path from "node:path";

// name, parent, translation in metres
const joints = [
    ["hips", -1, [0, 0.93, 0.05]],
    ["spine", 0, [0, 0.12, 0]],
    ["chest", 1, [0, 0.2, 0]],
    ["head", 2, [0, 0.35, 0]],
    ["left_upper_arm", 2, [0.19, 0.18, 0]],
    ["left_lower_arm", 4, [0, -0.28, 0]],
    ["left_hand", 5, [0, -0.27, 0]],
    ["right_upper_arm", 2, [-0.19, 0.18, 0]],
    ["right_lower_arm", 7, [0, -0.28, 0]],
    ["right_hand", 8, [0, -0.27, 0]],
    ["left_thigh", 0, [0.09, 0, 0]],
    ["left_shank", 10, [0, -0.43, -0.02]],
    ["left_foot", 11, [0, -0.43, -0.03]],
    ["right_thigh", 0, [-0.09, 0, 0]],
    ["right_shank", 13, [0, -0.43, -0.02]],
    ["right_foot", 14, [0, -0.43, -0.03]],
];

export function writeMade(folder) {
    const parts = [];
    const views = [];
    const accessors = [];
    let size = 0;
    function add(type, componentType, count, bytes, members = {}) {
        views.push({ buffer: 0, byteOffset: size, byteLength: bytes.length });
        parts.push(bytes, Buffer.alloc((4 - (bytes.length % 4)) % 4));
        size += bytes.length + parts.at(-1).length;
        accessors.push({ bufferView: views.length - 1, componentType, count, type, ...members });
        return accessors.length - 1;
    }
    const floats = (type, count, values, members) =>
        add(type, 5126, count, Buffer.from(new Float32Array(values).buffer), members);

    const times = floats("SCALAR", 2, [0, 1], { min: [0], max: [1] });
    const turns = floats("VEC4", 2, [0, 0, 0, 1, Math.sin(0.1), 0, 0, Math.cos(0.1)]);
    // Two keys, each with the tangents before and after it.
    const curve = floats("VEC4", 6, [
        [0, 0, 0, 0], [0, 0, 0, 1], [2, 0, 0, 0],
        [0, 0, 2, 0], [0, 0, Math.sin(0.6), Math.cos(0.6)], [0, 0, 0, 0],
    ].flat());
    const positions = floats("VEC3", 3, [-0.2, 1, 0, 0.2, 1, 0, 0, 1.4, 0], { min: [-0.2, 1, 0], max: [0.2, 1.4, 0] });
    const joint = add("VEC4", 5121, 3, Buffer.from([0, 0, 0, 0, 0, 0, 0, 0, 2, 0, 0, 0]));
    const weight = floats("VEC4", 3, [1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0]);

    const nodes = joints.map(([name, , translation]) => ({ name, translation }));
    joints.forEach(([, parent], index) => {
        if (parent >= 0) (nodes[parent].children ??= []).push(index);
    });
    nodes.push({ name: "body", mesh: 0, skin: 0 });
    const document = {
        asset: { version: "2.0" },
        scene: 0,
        scenes: [{ nodes: [0, joints.length] }],
        nodes,
        skins: [{ joints: joints.map((_, index) => index), skeleton: 0 }],
        meshes: [{ primitives: [{ attributes: { POSITION: positions, JOINTS_0: joint, WEIGHTS_0: weight } }] }],
        animations: [
            {
                name: "bow",
                samplers: [
                    { input: times, output: turns },
                    { input: times, output: turns, interpolation: "STEP" },
                    { input: times, output: curve, interpolation: "CUBICSPLINE" },
                ],
                channels: [
                    { sampler: 0, target: { node: 1, path: "rotation" } },
                    { sampler: 1, target: { node: 3, path: "rotation" } },
                    { sampler: 2, target: { node: 2, path: "rotation" } },
                ],
            },
        ],
        buffers: [{ uri: "made.bin", byteLength: size }],
        bufferViews: views,
        accessors,
    };
    writeFileSync(path.join(folder, "made.bin"), Buffer.concat(parts));
    const file = path.join(folder, "made.gltf");
    writeFileSync(file, JSON.stringify(document));
    return file;
}
