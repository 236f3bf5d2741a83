import {
  AmbientLight,
  BufferAttribute,
  BufferGeometry,
  DirectionalLight,
  Group,
  Mesh,
  Plane,
  Raycaster,
  Scene,
  Vector2,
  Vector3,
  WebGLRenderer,
  type LineSegments,
  type Object3D,
} from 'three';
import { CLASSES } from '../../core/classes.js';
import type { SceneFacts } from '../../write/scene-facts.js';
import type { ViewData } from '../../write/view-data.js';
import { placesOf } from './border-lines.js';
import { cameraRig } from './camera-rig.js';
import { lineSet, pointMark } from './cutter-model.js';
import type { Point } from './probe.js';
import { copyRough, roughGeometry } from './rough-geometry.js';
import { sectionCap } from './section-cap.js';
import { surfaceMaterial, throughMaterial } from './surface-material.js';

/** A class beyond the eight: where work is limited to elsewhere. */
const ELSEWHERE = CLASSES.length;
const INK = '#10161c';
/** Dots and lines of a finger's or pen's size on the screen. */
const MARK_PIXELS = 5;
const SHARPEST = 2;
/** A picture that takes longer is drawn roughly while it moves: with so much of the sharpness, and without lines. */
const SLOW_MS = 50,
  ROUGH = 0.5;
/** It rests when nothing has moved it for so long: as long as a sharp picture takes, within these bounds. */
const SETTLE_MS = 200,
  MOST_SETTLE_MS = 1000;
/** Positions are rounded for the way. */
const PLACE_MARGIN_MM = 0.005;

/** What of the facts a picture alone needs. */
export type StageFacts = Pick<SceneFacts, 'boundsMm' | 'classOfRegion' | 'regions'>;

export type Stage = ReturnType<typeof createStage>;

/** What a canvas is drawn with; null where WebGL 2 is missing. Kept after drawing, for pictures on paper. */
export const drawingContext = (canvas: HTMLCanvasElement): WebGL2RenderingContext | null =>
  canvas.getContext('webgl2', { antialias: true, alpha: true, stencil: true, preserveDrawingBuffer: true });

/** The picture: what is in it, from where it is seen. Draws when asked, at most once per frame. */
// biome-ignore lint/complexity/noExcessiveLinesPerFunction: what is drawn and what changes it share one scene.
export function createStage(
  canvas: HTMLCanvasElement,
  context: WebGL2RenderingContext,
  view: ViewData,
  facts: StageFacts,
) {
  const renderer = new WebGLRenderer({ canvas, context });
  renderer.localClippingEnabled = true;
  const { min, max } = facts.boundsMm;
  const middle = min.map((low, k) => (low + max[k]) / 2);
  const scene = new Scene(),
    rig = cameraRig(),
    material = surfaceMaterial();
  const geometry = surfaceGeometry(view, facts, middle);
  const centred = (ends: Float32Array): Float32Array => ends.map((x, i) => x - middle[i % 3]);
  const surveyed = centred(placesOf(view, view.borders));
  const edges = lineSet(centred(placesOf(view, view.creases)), INK),
    borders = lineSet(surveyed, INK);
  const marks = [pointMark('#ffffff'), pointMark('#ffd54a')];
  const link = lineSet(new Float32Array(6), '#ffd54a');
  link.material.depthTest = false;
  link.renderOrder = 9;
  link.visible = false;
  const hidden = new Mesh(geometry, throughMaterial(material));
  hidden.renderOrder = 8;
  hidden.visible = false;
  const cutter = new Group();
  const lamp = new DirectionalLight(0xffffff, 1.6);
  const whole = new Mesh(geometry, material),
    cap = sectionCap(whole, facts.boundsMm);
  const roughly = remembered(() => roughGeometry(geometry));
  scene.add(
    whole,
    cap.inside,
    cap.plane,
    hidden,
    edges,
    borders,
    link,
    ...marks,
    cutter,
    new AmbientLight(0xffffff, 2),
    lamp,
  );
  const plane = new Plane(),
    shows = { edges: true, borders: true };
  const ending = new AbortController();
  let asked = false,
    sectionSet: readonly [Point | null, number] = [null, 0],
    isMoving = false,
    sharpMs = 0,
    settling: ReturnType<typeof setTimeout> | undefined;

  const drawNow = (): void => {
    const { clientWidth: w, clientHeight: h } = canvas;
    if (w === 0 || h === 0 || ending.signal.aborted) return;
    const sharp = Math.min(SHARPEST, globalThis.devicePixelRatio || 1),
      isRough = isMoving && sharpMs > SLOW_MS;
    const ratio = isRough ? sharp * ROUGH : sharp;
    whole.geometry = cap.inside.geometry = isRough ? roughly().rough : geometry;
    edges.visible = shows.edges && !isRough;
    borders.visible = shows.borders && !isRough;
    const fromMs = performance.now();
    if (canvas.width !== Math.floor(w * ratio) || canvas.height !== Math.floor(h * ratio)) {
      renderer.setPixelRatio(ratio);
      renderer.setSize(w, h, false);
    }
    rig.resize(w, h);
    const camera = rig.camera();
    material.uniforms.eye.value = rig.towardsEye();
    material.uniforms.pixel.value = ratio;
    lamp.position.copy(rig.towardsEye());
    for (const mark of marks) mark.scale.setScalar(MARK_PIXELS * rig.mmPerPixel());
    renderer.render(scene, camera);
    if (!isMoving) {
      // Waits for what was drawn, which is what tells how long it takes.
      context.readPixels(0, 0, 1, 1, context.RGBA, context.UNSIGNED_BYTE, new Uint8Array(4));
      sharpMs = performance.now() - fromMs;
    }
    stage.onDrawn();
  };
  const stage = {
    canvas,
    rig,
    material,
    drawNow,
    /** called after each drawing */
    onDrawn: (): void => {},
    /** aborted by `dispose` */
    ended: ending.signal,
    /** gives back what the graphics card holds */
    dispose: (): void => {
      ending.abort();
      clearTimeout(settling);
      geometry.dispose();
      roughly.made()?.rough.dispose();
      material.dispose();
      cap.dispose();
      renderer.dispose();
      renderer.forceContextLoss();
    },
    /** draws again while it is being turned: roughly, where drawing is slow, and sharp once it rests */
    moved: (): void => {
      isMoving = true;
      clearTimeout(settling);
      settling = setTimeout(stage.settle, Math.max(SETTLE_MS, Math.min(MOST_SETTLE_MS, sharpMs)));
      stage.redraw();
    },
    /** what was moved rests */
    settle: (): void => {
      clearTimeout(settling);
      if (!isMoving) return;
      isMoving = false;
      stage.redraw();
    },
    redraw: (): void => {
      if (asked) return;
      asked = true;
      requestAnimationFrame(() => {
        asked = false;
        drawNow();
      });
    },
    setBorders: (ends: Float32Array | null): void =>
      replaceEnds(borders, ends === null ? surveyed : centred(ends)),
    show: (what: 'edges' | 'borders', on: boolean): void => {
      shows[what] = on;
    },
    /** X, Y and Z as they are seen, each 1 long: to the right, down, and towards the eye */
    axesSeen: (): readonly Point[] => {
      const { matrixWorldInverse } = rig.camera();
      return [0, 1, 2].map((axis) => {
        const seen = new Vector3(...pointOf((k) => Number(k === axis))).transformDirection(
          matrixWorldInverse,
        );
        return [seen.x, -seen.y, seen.z];
      });
    },
    /** the section as it was set */
    section: (): readonly [Point | null, number] => sectionSet,
    setSection: (normal: Point | null, offsetMm: number): void => {
      sectionSet = [normal, offsetMm];
      material.uniforms.cut.value = normal !== null;
      if (normal !== null) {
        const shift = normal.reduce((sum, n, k) => sum + n * middle[k], 0);
        material.uniforms.section.value.set(...normal, shift - offsetMm);
        plane.setComponents(-normal[0], -normal[1], -normal[2], offsetMm - shift);
      }
      for (const lines of [edges, borders]) lines.material.clippingPlanes = normal === null ? null : [plane];
      cap.place(normal === null ? null : plane);
    },
    /** shades a place, and shows it through what hides it; null: none */
    setPlace: (place: SceneFacts['places'][string] | null): void => {
      const { placeLow, placeHigh, placeReached } = material.uniforms;
      hidden.visible = place !== null;
      const box = place?.boundsMm ?? { min: [1, 1, 1], max: [-1, -1, -1] };
      placeLow.value.set(...pointOf((k) => box.min[k] - middle[k] - PLACE_MARGIN_MM));
      placeHigh.value.set(...pointOf((k) => box.max[k] - middle[k] + PLACE_MARGIN_MM));
      placeReached.value = place?.reached ?? 0;
    },
    setGaps: (gaps: Float32Array): void => {
      geometry.setAttribute('gap', new BufferAttribute(gaps, 1));
      const made = roughly.made();
      if (made !== null) copyRough(geometry, made.rough, 'gap', made.standsFor);
    },
    /** (2) points marked; null hides one */
    setMarks: (points: readonly (Point | null)[]): void => {
      marks.forEach((mark, i) => {
        const point = points[i] ?? null;
        mark.visible = point !== null;
        if (point !== null) mark.position.set(...pointOf((k) => point[k] - middle[k]));
      });
      const both = points.flatMap((point) => (point === null ? [] : [...point]));
      link.visible = both.length === 6;
      if (link.visible) replaceEnds(link, centred(Float32Array.from(both)));
    },
    /** replaces the cutter shown; null: none */
    setCutter: (model: Object3D | null, centre: Point | null): void => {
      cutter.clear();
      if (model === null || centre === null) return;
      model.position.set(...pointOf((k) => centre[k] - middle[k]));
      cutter.add(model);
    },
    /** through a place of the canvas, -1 to 1 from left to right and from bottom to top */
    rayAt: (x: number, y: number): { readonly from: Point; readonly along: Point } => {
      const caster = new Raycaster();
      caster.setFromCamera(new Vector2(x, y), rig.camera());
      const { origin, direction } = caster.ray;
      return {
        from: [origin.x + middle[0], origin.y + middle[1], origin.z + middle[2]],
        along: [direction.x, direction.y, direction.z],
      };
    },
  };
  const resized = new ResizeObserver(() => stage.redraw());
  resized.observe(canvas);
  ending.signal.addEventListener('abort', () => resized.disconnect());
  rig.resize(canvas.clientWidth, canvas.clientHeight);
  return stage;
}

/** Makes a thing when it is first asked for; `made` is null before. */
function remembered<T>(make: () => T): (() => T) & { readonly made: () => T | null } {
  let made: T | null = null;
  return Object.assign(
    () => {
      made ??= make();
      return made;
    },
    { made: () => made },
  );
}

const pointOf = (value: (k: number) => number): [number, number, number] => [value(0), value(1), value(2)];

function replaceEnds(lines: LineSegments, ends: Float32Array): void {
  lines.geometry.dispose();
  lines.geometry = new BufferGeometry().setAttribute('position', new BufferAttribute(ends, 3));
}

function surfaceGeometry(view: ViewData, facts: StageFacts, middle: readonly number[]): BufferGeometry {
  const { counts, regions, ridges, finishers, positions, normals, triangles } = view;
  const stickouts = new Float32Array(2 * regions.length);
  regions.forEach((region, i) => {
    const own = region < 0 ? undefined : facts.regions[region];
    stickouts.set([own?.stickoutMm ?? -1, own?.needs ?? 0], 2 * i);
  });
  const classOf = Float32Array.from(regions, (region) =>
    region < 0 ? ELSEWHERE : CLASSES.indexOf(facts.classOfRegion[region]),
  );
  const centred = Float32Array.from(positions, (x, i) => x - middle[i % 3]);
  return new BufferGeometry()
    .setAttribute('position', new BufferAttribute(centred, 3))
    .setAttribute('normal', new BufferAttribute(Float32Array.from(normals), 3))
    .setAttribute('count', new BufferAttribute(Float32Array.from(counts), 1))
    .setAttribute('cls', new BufferAttribute(classOf, 1))
    .setAttribute('region', new BufferAttribute(Float32Array.from(regions), 1))
    .setAttribute('ridge', new BufferAttribute(Float32Array.from(ridges), 1))
    .setAttribute('finisher', new BufferAttribute(Float32Array.from(finishers), 1))
    .setAttribute('stickout', new BufferAttribute(stickouts, 2))
    .setAttribute('gap', new BufferAttribute(new Float32Array(counts.length), 1))
    .setIndex(new BufferAttribute(triangles, 1));
}
