/** Colors of the pictures and of the view that can be turned, red, green, blue of 255. */
type Color = readonly [number, number, number];

/** Neighboring pieces in different grays of steel. */
export const PIECE_COLORS: readonly Color[] = [
  [150, 172, 200],
  [196, 186, 160],
  [160, 194, 172],
  [200, 168, 160],
];

/** Printed tools. */
export const TOOL_COLOR: Color = [226, 132, 52];

/** Flat parts. */
export const PLATE_COLOR: Color = [186, 186, 194];
