import {
  BackSide,
  DoubleSide,
  EqualStencilFunc,
  FrontSide,
  GLSL3,
  Mesh,
  PlaneGeometry,
  ReplaceStencilOp,
  ShaderMaterial,
  type BufferGeometry,
  type IUniform,
  type Plane,
} from 'three';
import { STRIPES } from './surface-material.js';

const CAP_VERTEX = 'void main() { gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }';
const CAP_FRAGMENT = `
precision highp float;
uniform float pixel; out vec4 colour;
${STRIPES}
void main() { colour = vec4(mix(vec3(0.44), vec3(0.6), stripes(0.785, 6.0, 2.0)), 1.0); }`;

/**
 * Closes the part where a section opens it: the plane is drawn wherever the inside of the surface would be seen
 * beyond it, so that it hides the edges behind it.
 *
 * @param whole the surface, in a material of both sides
 * @returns what is drawn besides it, and what places it; null: no section
 */
export function sectionCap(
  whole: Mesh<BufferGeometry, ShaderMaterial>,
  { min, max }: { readonly min: readonly number[]; readonly max: readonly number[] },
) {
  const { material } = whole;
  // Two drawings tell the sides apart in the stencil: of what is seen, 1 is the inside.
  const behind = material.clone();
  behind.uniforms = material.uniforms;
  Object.assign(behind, {
    side: BackSide,
    stencilWrite: true,
    stencilRef: 1,
    stencilZPass: ReplaceStencilOp,
  });
  const inside = new Mesh(whole.geometry, behind);
  const size = 2 * Math.sqrt(max.reduce((sum, high, k) => sum + (high - min[k]) ** 2, 0));
  const cut = capMaterial(material.uniforms.pixel);
  const plane = new Mesh(new PlaneGeometry(size, size), cut);
  // Lines come last: they are not of the surface, and the plane hides those behind it.
  [whole.renderOrder, inside.renderOrder, plane.renderOrder] = [-2, -2, -1];
  const place = (section: Plane | null): void => {
    const isCut = section !== null;
    inside.visible = plane.visible = isCut;
    Object.assign(material, {
      side: isCut ? FrontSide : DoubleSide,
      stencilWrite: isCut,
      stencilRef: 0,
      stencilZPass: ReplaceStencilOp,
    });
    if (!isCut) return;
    section.coplanarPoint(plane.position);
    plane.lookAt(plane.position.clone().add(section.normal));
  };
  place(null);
  return {
    inside,
    plane,
    place,
    dispose: (): void => {
      plane.geometry.dispose();
      behind.dispose();
      cut.dispose();
    },
  };
}

/** Hatched, wherever the inside would be seen. */
const capMaterial = (pixel: IUniform): ShaderMaterial =>
  new ShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: CAP_VERTEX,
    fragmentShader: CAP_FRAGMENT,
    side: DoubleSide,
    uniforms: { pixel },
    stencilWrite: true,
    stencilRef: 1,
    stencilFunc: EqualStencilFunc,
  });
