import { BackSide, Color, ShaderMaterial } from 'three';

/** Width of an outline on the screen, in CSS pixels. */
const WIDTH = 1.3;

/**
 * Draws the far side of a body a little larger and dark, so that a dark line stays round it: an outline, where no edge is.
 * `size` is that of the canvas in CSS pixels.
 */
export const outlineMaterial = (color: number): ShaderMaterial =>
  new ShaderMaterial({
    side: BackSide,
    // The bore's far side lies a wall behind the outside: grown, it would come through where the tube turns away.
    polygonOffset: true,
    polygonOffsetFactor: 6,
    polygonOffsetUnits: 6,
    uniforms: { size: { value: [1, 1] }, color: { value: new Color(color) } },
    vertexShader: `
      uniform vec2 size;
      attribute vec3 away;
      void main() {
        vec4 p = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
        vec2 aside = (normalMatrix * away).xy;
        float l = length(aside);
        if (l > 0.0) p.xy += aside / l * ${(2 * WIDTH).toFixed(2)} / size * p.w;
        gl_Position = p;
      }`,
    fragmentShader: `
      uniform vec3 color;
      void main() { gl_FragColor = vec4(color, 1.0); }`,
  });
