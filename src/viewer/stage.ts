import {
  AmbientLight,
  Box3,
  BufferAttribute,
  BufferGeometry,
  Color,
  DirectionalLight,
  Group,
  LineBasicMaterial,
  LineSegments,
  MeshLambertMaterial,
  Mesh as MeshObject,
  OrthographicCamera,
  Scene,
  SRGBColorSpace,
  Vector3,
  WebGLRenderer,
} from 'three';
import { OrbitControls } from 'three/examples/jsm/controls/OrbitControls.js';
import { sharpEdges } from '../export/picture-edges.ts';
import type { PackedItem } from '../export/view-data.ts';
import type { Mesh } from '../solid/mesh.ts';
import { placeLabels } from './labels.ts';
import { outlineMaterial } from './outline.ts';
import { shaded } from './shading.ts';
import { unpackMesh } from './unpack.ts';

/** Where the picture is drawn and turned; names of items say what is meant. */
export interface Stage {
  /** Shows these and nothing else; `near` of them fill the picture, all of them where none are named. */
  readonly show: (shown: ReadonlySet<string>, near?: ReadonlySet<string>) => void;
  /** Looks at what is shown from a direction. */
  readonly lookFrom: (from: readonly [number, number, number]) => void;
  readonly showLabels: (on: boolean) => void;
}

export interface Actor {
  readonly item: PackedItem;
  readonly group: Group;
  readonly box: Box3;
  readonly label?: HTMLElement;
}

/** Of the visible things' size, left free round them. */
const MARGIN = 1.12;
/** Past this a screen shows nothing more and a phone only gets warm. */
const MOST_PIXELS = 2;
const GHOST_OPACITY = 0.35;
const EDGE_COLOR = 0x1c1c1c;

/** Draws all items on the canvas whenever something changes, and at no other time. */
export function openStage(canvas: HTMLCanvasElement, items: readonly PackedItem[]): Stage {
  const renderer = new WebGLRenderer({ canvas, antialias: true });
  renderer.setClearColor(0xffffff);
  const scene = new Scene();
  const camera = new OrthographicCamera();
  camera.up.set(0, 0, 1);
  const outline = outlineMaterial(EDGE_COLOR);
  const actors = items.map((item) => actorOf(item, outline, canvas.parentElement ?? document.body));
  for (const { group } of actors) scene.add(group);
  scene.add(new AmbientLight(0xffffff, 1.5), camera);
  const lamp = new DirectionalLight(0xffffff, 2.2);
  lamp.position.set(-0.35, 0.9, 0.6);
  camera.add(lamp);
  const whole = boxOf(actors);
  const reach = whole.getSize(new Vector3()).length();
  const controls = new OrbitControls(camera, canvas);
  controls.enableZoom = false;
  // The wheel scrolls the page until the picture has been touched; fingers may pinch at once.
  canvas.addEventListener(
    'pointerdown',
    () => {
      controls.enableZoom = true;
    },
    { capture: true },
  );
  canvas.addEventListener('pointerleave', (event) => {
    if (event.pointerType === 'mouse') controls.enableZoom = false;
  });
  let labels = true;

  const draw = (): void => {
    renderer.render(scene, camera);
    placeLabels(actors, { camera, canvas, on: labels });
  };
  const fill = (by: readonly Actor[]): void => {
    const box = boxOf(by);
    const middle = box.getCenter(new Vector3());
    const back = camera.position.clone().sub(controls.target).normalize();
    controls.target.copy(middle);
    camera.position.copy(middle).addScaledVector(back, 2 * reach);
    camera.near = 0.01 * reach;
    camera.far = 4 * reach;
    camera.lookAt(middle);
    camera.updateMatrixWorld();
    const half = spreadOn(camera, by, middle);
    camera.zoom = Math.min(camera.right / half.x, camera.top / half.y) / MARGIN;
    camera.updateProjectionMatrix();
    controls.update();
    draw();
  };
  let filling: readonly Actor[] = actors;
  const resize = (): void => {
    const { clientWidth: width, clientHeight: height } = canvas;
    if (width === 0 || height === 0) return;
    renderer.setPixelRatio(Math.min(window.devicePixelRatio, MOST_PIXELS));
    renderer.setSize(width, height, false);
    outline.uniforms.size!.value = [width, height];
    const zoom = camera.right > 0 ? width / 2 / camera.right : 1;
    [camera.left, camera.right, camera.top, camera.bottom] = [-width / 2, width / 2, height / 2, -height / 2];
    camera.zoom *= zoom;
    camera.updateProjectionMatrix();
    draw();
  };
  resize();
  new ResizeObserver(resize).observe(canvas);
  controls.addEventListener('change', draw);

  return {
    show: (shown, near = shown) => {
      for (const { item, group } of actors) group.visible = shown.has(item.name);
      filling = actors.filter(({ item }) => near.has(item.name));
      if (filling.length > 0) fill(filling);
      else draw();
    },
    lookFrom: ([x, y, z]) => {
      camera.position.copy(controls.target).add(new Vector3(x, y, z));
      fill(filling.length > 0 ? filling : actors);
    },
    showLabels: (on) => {
      labels = on;
      draw();
    },
  };
}

function actorOf(item: PackedItem, outline: ReturnType<typeof outlineMaterial>, beside: HTMLElement): Actor {
  const mesh = unpackMesh(item);
  const { positions, normals, away } = shaded(mesh);
  const surface = new BufferGeometry();
  surface.setAttribute('position', new BufferAttribute(positions, 3));
  surface.setAttribute('normal', new BufferAttribute(normals, 3));
  surface.setAttribute('away', new BufferAttribute(away, 3));
  const color = new Color().setRGB(item.color[0] / 255, item.color[1] / 255, item.color[2] / 255, SRGBColorSpace);
  const ghost = item.group === 'waste' || item.group === 'tube';
  const group = new Group();
  // Surfaces stand a hair behind their own edges.
  const behind = { polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 };
  const material = new MeshLambertMaterial({
    color,
    ...behind,
    ...(ghost ? { transparent: true, opacity: GHOST_OPACITY, depthWrite: false } : {}),
  });
  group.add(new MeshObject(surface, material));
  if (!ghost) group.add(new MeshObject(surface, outline));
  group.add(edgeLines(mesh, ghost));
  surface.computeBoundingBox();
  const box = surface.boundingBox ?? new Box3();
  if (item.label === undefined) return { item, group, box };
  const label = document.createElement('span');
  label.className = `view-label ${item.group}`;
  label.textContent = item.label;
  beside.append(label);
  return { item, group, box, label };
}

function edgeLines(mesh: Mesh, ghost: boolean): LineSegments {
  const edges = sharpEdges(mesh);
  const ends = new Float32Array(3 * edges.length);
  edges.forEach((end, i) => {
    ends.set(mesh.positions.subarray(3 * end, 3 * end + 3), 3 * i);
  });
  const lines = new BufferGeometry();
  lines.setAttribute('position', new BufferAttribute(ends, 3));
  return new LineSegments(
    lines,
    new LineBasicMaterial({ color: EDGE_COLOR, ...(ghost ? { transparent: true, opacity: GHOST_OPACITY } : {}) }),
  );
}

function boxOf(actors: readonly Actor[]): Box3 {
  const box = new Box3();
  for (const actor of actors) box.union(actor.box);
  return box;
}

/** Half of what the boxes take up on the screen, to the right and up from the middle; never nothing. */
function spreadOn(camera: OrthographicCamera, actors: readonly Actor[], middle: Vector3): Vector3 {
  const half = new Vector3(1e-6, 1e-6, 0);
  const toScreen = camera.quaternion.clone().invert();
  for (const { min, max } of actors.map(({ box }) => box)) {
    for (let corner = 0; corner < 8; corner++) {
      const at = new Vector3(corner & 1 ? max.x : min.x, corner & 2 ? max.y : min.y, corner & 4 ? max.z : min.z);
      at.sub(middle).applyQuaternion(toScreen);
      half.x = Math.max(half.x, Math.abs(at.x));
      half.y = Math.max(half.y, Math.abs(at.y));
    }
  }
  return half;
}
