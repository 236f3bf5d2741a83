import { DoubleSide, GLSL3, ShaderMaterial, Vector3, Vector4 } from 'three';
import { CLASSES } from '../../core/classes.js';
import { CLASS_COLOURS, linearRgb } from '../../write/class-colours.js';
import { LEFT_TO_OTHERS } from '../../write/ridge-bands.js';
import { COUNT_STEP } from '../../write/view-data.js';
import type { Bands } from './bands.js';

/** Most bands that a field may be shown in. */
const MOST_BANDS = 65;
const MODE_INDEX = {
  class: 0,
  angle: 1,
  reach: 2,
  gap: 3,
  scallop: 4,
  stickout: 5,
  defect: 6,
  finisher: 7,
} as const;
/** Stands for "does not fit" in the gap attribute. */
export const NO_FIT = 1e9;
/** Stands for "not yet computed" there, far below all gaps: a facet with one such corner is drawn so. */
export const NOT_COMPUTED = -1e9;

const VERTEX = `
in float count; in float cls; in float region; in float gap; in float ridge; in float finisher; in vec2 stickout;
out vec3 vNormal; out vec3 vPoint; out float vCount; out float vGap;
flat out float vClass; flat out float vRegion; flat out float vRidge; flat out float vFinisher; flat out vec2 vStickout;
void main() {
  vNormal = normal; vPoint = position; vCount = count; vGap = gap; vClass = cls; vRegion = region; vRidge = ridge; vFinisher = finisher; vStickout = stickout;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`;

/** Lines across the screen, so many CSS pixels apart and wide; `pixel` says how many of the canvas make one. */
export const STRIPES = `float stripes(float angle, float period, float width) {
  vec2 at = gl_FragCoord.xy / pixel;
  float d = abs(fract((at.x * cos(angle) + at.y * sin(angle)) / period) - 0.5) * period;
  return 1.0 - smoothstep(width * 0.5 - 0.5, width * 0.5 + 0.5, d);
}
`;

const FRAGMENT = `
precision highp float;
uniform int mode; uniform bool live; uniform vec2 split; uniform vec3 eye; uniform vec4 section; uniform bool cut; uniform bool paper;
uniform vec3 classes[9]; uniform vec3 bands[${MOST_BANDS}]; uniform float limits[${MOST_BANDS}]; uniform int bandCount;
uniform bool hide[9]; uniform float chosen; uniform float pixel; uniform bool through; uniform vec3 placeLow; uniform vec3 placeHigh; uniform float placeReached;
in vec3 vNormal; in vec3 vPoint; in float vCount; in float vGap;
flat in float vClass; flat in float vRegion; flat in float vRidge; flat in float vFinisher; flat in vec2 vStickout;
out vec4 colour;

${STRIPES}float classOf(float angle) {
  if (vClass > 3.5 || !live) return vClass;
  if (angle <= 0.0087276) return 0.0;
  return angle < split.x ? 1.0 : angle <= split.y ? 2.0 : 3.0;
}
int bandOf(float value) {
  int band = 0;
  for (int i = 0; i < ${MOST_BANDS}; i++) { if (i >= bandCount - 1) break; if (value > limits[i]) band = i + 1; }
  return band;
}
void main() {
  if (cut && dot(section, vec4(vPoint, 1.0)) > 0.0) discard;
  // The place picked in a table: in its box, and reached by too few of the radii.
  bool picked = all(greaterThanEqual(vPoint, placeLow)) && all(lessThanEqual(vPoint, placeHigh)) && vClass < 3.5
    && (placeReached < 0.5 || vCount < placeReached - ${COUNT_STEP / 2});
  if (through && !picked) discard;

  vec3 n = normalize(vNormal);
  float angle = atan(length(n.xy), n.z);
  float c = classOf(angle);
  if (!through && hide[int(c + 0.5)]) discard;
  vec3 base = classes[int(c + 0.5)];
  float ink = 0.0; vec3 inkColour = vec3(0.02);
  if (mode == 0 || c > 3.5) {
    // On paper, which may be grey, every class has the lines of its key.
    if (paper && c > 0.5 && c < 1.5) ink = 0.8 * stripes(1.571, 14.0, 2.0);
    if (paper && c > 2.5 && c < 3.5) { ink = 0.9 * max(stripes(0.785, 14.0, 1.6), stripes(-0.785, 14.0, 1.6)); inkColour = vec3(1.0); }
    if (c > 1.5 && c < 2.5) ink = 0.55 * stripes(0.785, 8.0, 1.4);
    if (c > 3.5 && c < 4.5) ink = 0.7 * max(stripes(0.0, 8.0, 1.2), stripes(1.571, 8.0, 1.2));
    if (c > 4.5 && c < 5.5) ink = 0.7 * stripes(1.571, 8.0, 2.0);
  } else if (mode == 3 && vGap < -1.0) {
    base = classes[8]; ink = 0.7 * min(stripes(0.0, 6.0, 2.0), stripes(1.571, 6.0, 2.0));
  } else if (mode == 4 && vRidge > ${LEFT_TO_OTHERS - 0.5}) {
    base = classes[8]; ink = 0.6 * stripes(0.785, 7.0, 1.4);
  } else if (mode == 7) {
    // limits: how many radii must reach a place for the cutter to reach it; 0: not told by radii
    int own = int(vFinisher + 0.5);
    if (own >= bandCount) { base = classes[8]; ink = 0.6 * stripes(0.785, 7.0, 1.4); }
    else {
      if (limits[own] > 0.5) for (int i = 0; i < ${MOST_BANDS}; i++) {
        if (i >= bandCount) break;
        if (limits[i] > 0.5 && vCount >= limits[i] - ${COUNT_STEP / 2}) { own = i; break; }
      }
      base = bands[own];
    }
  } else if (mode == 5) {
    // stickout: mm, and how many radii must reach a place for the region's cutter to reach it
    if (vStickout.x < 0.0 || vCount < vStickout.y - ${COUNT_STEP / 2}) { base = classes[8]; ink = 0.6 * stripes(0.785, 7.0, 1.4); }
    else base = bands[bandOf(vStickout.x)];
  } else {
    float value = mode == 1 ? degrees(angle) : mode == 2 ? vCount : mode == 3 ? vGap : mode == 6 ? vRegion : vRidge;
    int band = bandOf(value);
    base = bands[band];
    if (mode == 3 && value > 1e6) ink = 0.8 * max(stripes(0.785, 7.0, 1.6), stripes(-0.785, 7.0, 1.6));
    else if (mode < 4) {
      float edge = 1e9;
      if (band > 0) edge = min(edge, abs(value - limits[band - 1]));
      if (band < bandCount - 1) edge = min(edge, abs(value - limits[band]));
      ink = 0.55 * (1.0 - smoothstep(0.4, 1.2, edge / max(1e-9, fwidth(value))));
    }
  }
  float light = 0.66 + 0.34 * max(0.0, dot(n, eye));
  vec3 lit = mix(base, inkColour, ink) * light;
  if (abs(vRegion - chosen) < 0.5) {
    float bright = dot(base, vec3(0.2126, 0.7152, 0.0722)) > 0.3 ? 0.0 : 1.0;
    lit = mix(lit, vec3(bright), 0.75 * stripes(2.356, 6.0, 2.0));
  }
  if (picked) lit = mix(lit, vec3(1.0, 0.3, 0.0), through ? 1.0 : 0.35 + 0.4 * stripes(2.356, 6.0, 2.0));
  if (!gl_FrontFacing && !through) lit = mix(vec3(0.16), vec3(0.32), stripes(0.785, 6.0, 2.0));
  colour = vec4(mix(12.92 * lit, 1.055 * pow(lit, vec3(1.0 / 2.4)) - 0.055, step(0.0031308, lit)), through ? 0.4 : 1.0);
}`;

/** Linear channels of an sRGB colour, as the shader computes with. */
const linear = (hex: string): Vector3 => new Vector3(...linearRgb(hex));

/**
 * Colours the surface by class or by a field, on the graphics card: a moved split costs a uniform. The light
 * is a lamp at the eye over two thirds of ambient light, so that shading does not hide what a colour says.
 */
export function surfaceMaterial(): ShaderMaterial {
  const classColours = [...CLASSES.map((name) => CLASS_COLOURS[name]), '#D8D8D8'].map(linear);
  return new ShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    side: DoubleSide,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
    uniforms: {
      mode: { value: 0 },
      live: { value: false },
      split: { value: [0, 0] },
      eye: { value: new Vector3(0, 0, 1) },
      section: { value: new Vector4() },
      cut: { value: false },
      paper: { value: false },
      classes: { value: classColours },
      bands: { value: Array.from({ length: MOST_BANDS }, () => new Vector3()) },
      limits: { value: new Array<number>(MOST_BANDS).fill(Infinity) },
      bandCount: { value: 1 },
      hide: { value: new Array<boolean>(9).fill(false) },
      chosen: { value: -2 },
      pixel: { value: 1 },
      through: { value: false },
      placeLow: { value: new Vector3(1, 1, 1) },
      placeHigh: { value: new Vector3() },
      placeReached: { value: 0 },
    },
  });
}

/** Draws the place picked, and nothing else, over all that hides it; the picture's own material tells which. */
export function throughMaterial({ uniforms }: ShaderMaterial): ShaderMaterial {
  return new ShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    side: DoubleSide,
    transparent: true,
    depthTest: false,
    depthWrite: false,
    uniforms: { ...uniforms, through: { value: true } },
  });
}

/** Colours by a mode; `bands` null: by class. */
export function setBands(
  { uniforms }: ShaderMaterial,
  mode: keyof typeof MODE_INDEX,
  bands: Bands | null,
): void {
  uniforms.mode.value = MODE_INDEX[mode];
  if (bands === null) return;
  uniforms.bandCount.value = bands.colours.length;
  bands.colours.slice(0, MOST_BANDS).forEach((hex, i) => {
    uniforms.bands.value[i] = linear(hex);
  });
  uniforms.limits.value = Array.from({ length: MOST_BANDS }, (_, i) => bands.limits[i] ?? 3e38);
}
