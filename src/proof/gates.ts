import { FILE_ROUNDING } from '../geometry/tolerance.ts';
import type { Mm } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import type { Mesh } from '../solid/mesh.ts';
import { checkMesh, type MeshFacts, signedVolume } from '../solid/mesh-check.ts';
import type { PartFiles } from './part-files.ts';
import { type Fault, type Measured, OUR_FAULT } from './problem.ts';

export interface Gate {
  readonly facts: MeshFacts;
  readonly volumeDifference: number;
  readonly fileDifference: Mm;
}

/** Counts every file's mesh, and how far files and built mesh differ. The first file is the one that is measured further. */
export function passGates({ built, meshes }: PartFiles): Measured<Gate> {
  const [first, ...others] = meshes;
  if (!first) throw new Error('internal: a part without a file to prove');
  const facts = checkMesh(first.mesh);
  const faults: Fault[] = [...meshFaults(facts, first.format)];
  const volumes = [signedVolume(built)];
  let fileDifference = 0;
  for (const { format, mesh } of others) {
    const apart = cornersApart(first.mesh, mesh);
    fileDifference = Math.max(fileDifference, apart ?? Number.POSITIVE_INFINITY);
    // Corner for corner the same mesh: what was counted on the first holds for this one too.
    if (apart !== 0) faults.push(...meshFaults(checkMesh(mesh), format));
    volumes.push(apart === 0 ? facts.volume : signedVolume(mesh));
  }
  const volumeDifference = Math.max(...volumes.map((volume) => Math.abs(volume - facts.volume)));
  return {
    value: { facts, volumeDifference, fileDifference },
    faults: [...faults, ...differenceFaults({ facts, volumeDifference, fileDifference })],
  };
}

function meshFaults(facts: MeshFacts, format: string): readonly Fault[] {
  const faults: Fault[] = [];
  const { openEdges, misoriented, crowdedEdges, zeroArea, shells, volume } = facts;
  if (!facts.closed) {
    const message = `the ${format} mesh is not closed: ${openEdges} open, ${misoriented} flipped, ${crowdedEdges} crowded edges`;
    faults.push({
      code: 'proof/not-closed',
      message,
      hint: OUR_FAULT,
      measured: openEdges + misoriented + crowdedEdges,
      limit: 0,
    });
  }
  if (zeroArea > 0) {
    faults.push({
      code: 'proof/degenerate',
      message: `${zeroArea} triangles of the ${format} mesh have no area`,
      hint: OUR_FAULT,
      measured: zeroArea,
      limit: 0,
    });
  }
  if (shells !== 1) {
    const message = `the ${format} mesh is ${shells} bodies, and a part is one`;
    faults.push({
      code: 'proof/shells',
      message,
      hint: 'give the tool more `grip` or wall, so that slots and grooves do not part it',
      measured: shells,
      limit: 1,
    });
  }
  if (!(volume > 0)) {
    faults.push({
      code: 'proof/volume',
      message: `the ${format} mesh is inside out: its volume is ${figure(volume)} mm^3`,
      hint: OUR_FAULT,
      measured: volume,
      limit: 0,
    });
  }
  return faults;
}

/** Rounding moves each face by no more than a coordinate: area times that bounds the difference. */
function differenceFaults({ facts, volumeDifference, fileDifference }: Gate): readonly Fault[] {
  const faults: Fault[] = [];
  const limit = facts.area * FILE_ROUNDING;
  if (!(volumeDifference <= limit)) {
    const message = `the volumes of built mesh and files differ by ${figure(volumeDifference)} mm^3, limit ${figure(limit)} mm^3`;
    faults.push({ code: 'proof/volume', message, hint: OUR_FAULT, measured: volumeDifference, limit });
  }
  if (!(fileDifference <= FILE_ROUNDING)) {
    const what = Number.isFinite(fileDifference) ? `up to ${fileDifference.toFixed(5)} mm` : 'in their triangles';
    const message = `the meshes of the STL and the 3MF differ ${what}, limit ${FILE_ROUNDING} mm`;
    faults.push({ code: 'proof/volume', message, hint: OUR_FAULT, measured: fileDifference, limit: FILE_ROUNDING });
  }
  return faults;
}

/**
 * Largest distance between the same corners of two meshes; undefined when their triangles do not answer to each other one
 * to one. 0 means: the same mesh, however its vertices are numbered.
 */
export function cornersApart(a: Mesh, b: Mesh): Mm | undefined {
  if (a.triangles.length !== b.triangles.length || a.positions.length !== b.positions.length) return undefined;
  const partner = new Int32Array(a.positions.length / 3).fill(-1);
  const taken = new Uint8Array(partner.length);
  let apart = 0;
  for (let i = 0; i < a.triangles.length; i++) {
    const p = a.triangles[i]!;
    const q = b.triangles[i]!;
    if (partner[p] === q) continue;
    if (partner[p] !== -1 || taken[q] === 1) return undefined;
    partner[p] = q;
    taken[q] = 1;
    for (let k = 0; k < 3; k++) apart = Math.max(apart, Math.abs(a.positions[3 * p + k]! - b.positions[3 * q + k]!));
  }
  return apart;
}
