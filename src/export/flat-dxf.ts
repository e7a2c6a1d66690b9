import { DxfWriter, LWPolylineFlags, point2d, point3d, Units } from '@tarikjabiri/dxf';
import { boundsOfLoops, type FlatLoop } from '../geometry/flat-path.ts';
import type { Vec2 } from '../geometry/vector.ts';
import type { FlatDrawing } from './flat-drawing.ts';

/** Layers and their colors (AutoCAD color index: 7 black or white, 1 red): what is cut through, and what is only scored. */
const LAYERS = { cut: { name: 'CUT', color: 7 }, mark: { name: 'MARK', color: 1 } } as const;

/**
 * DXF of a flat part for a profile cutter: mm, its outline's box with the lower left corner on the origin, a closed
 * polyline with true arcs for each contour, a circle for each round hole, holes before the outline. No text, no
 * dimensions, no line twice. Same drawing, same bytes.
 */
export function flatDxf({ outline, holes, marks }: FlatDrawing): string {
  const { min, max } = boundsOfLoops([outline]);
  const moved = ([x, y]: Vec2): Vec2 => [grid(x - min[0]), grid(y - min[1])];
  const dxf = new DxfWriter();
  dxf.setUnits(Units.Millimeters);
  dxf.setVariable('$MEASUREMENT', { 70: 1 });
  dxf.setVariable('$EXTMIN', { 10: 0, 20: 0, 30: 0 });
  dxf.setVariable('$EXTMAX', { 10: grid(max[0] - min[0]), 20: grid(max[1] - min[1]), 30: 0 });
  for (const { name, color } of Object.values(LAYERS)) dxf.addLayer(name, color, 'Continuous');
  dxf.setCurrentLayerName(LAYERS.cut.name);
  for (const loop of [...holes, outline]) addLoop(dxf, loop, moved);
  dxf.setCurrentLayerName(LAYERS.mark.name);
  for (const [p, q] of marks) {
    const [from, to] = [moved(p), moved(q)];
    dxf.addLine(point3d(from[0], from[1]), point3d(to[0], to[1]));
  }
  return dxf.stringify();
}

function addLoop(dxf: DxfWriter, loop: FlatLoop, moved: (p: Vec2) => Vec2): void {
  if (loop.kind === 'circle') {
    const [x, y] = moved(loop.center);
    dxf.addCircle(point3d(x, y), grid(loop.radius));
    return;
  }
  const corners = loop.corners.map(({ at, bulge }) => {
    const [x, y] = moved(at);
    return { point: point2d(x, y), ...(bulge === 0 ? {} : { bulge }) };
  });
  dxf.addLWPolyline(corners, { flags: LWPolylineFlags.Closed });
}

/** A millionth of a millimeter: digits beyond are the machine's noise. */
const grid = (x: number): number => Math.round(x * 1e6) / 1e6 + 0;
