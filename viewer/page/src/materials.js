import * as THREE from 'three';

/**
 * Light for metal, painted in numbers as in viewer/draw/light.py: softboxes round the eye, of which metal shows little
 * but what it mirrors. In plain quality every corner is lit, in fine quality every pixel, by the same lines.
 */
const STUDIO = `
uniform vec3 levelRight;
uniform vec3 levelUp;
uniform vec3 levelBack;
vec3 box(vec3 way, vec3 middle, float sharp, float rough, vec3 light) {
  float k = 1.0 / (1.0 / sharp + 0.9 * rough * rough);
  return light * (sharp > k ? mix(0.35, 1.0, k / sharp) : 1.0) * exp(k * (dot(way, middle) - 1.0));
}
vec3 softboxes(vec3 way, float rough) {
  return box(way, vec3(-0.603, 0.643, 0.472), 9.0, rough, vec3(2.5, 2.45, 2.36))
    + box(way, vec3(-0.973, 0.105, 0.207), 9.0, rough, vec3(1.3))
    + box(way, vec3(-0.480, -0.276, 0.832), 8.0, rough, vec3(0.75))
    + box(way, vec3(0.814, 0.5, 0.296), 9.0, rough, vec3(1.75, 1.82, 1.9))
    + box(way, vec3(-0.760, 0.375, -0.532), 9.0, rough, vec3(2.6, 2.65, 2.75))
    + box(way, vec3(0.283, 0.559, -0.779), 9.0, rough, vec3(1.9))
    + box(way, vec3(0.0, 0.995, 0.1), 5.0, rough, vec3(1.15));
}
vec3 lit(vec3 square, vec3 toEye, vec3 colour, float metal, float rough) {
  vec3 n = vec3(dot(square, levelRight), dot(square, levelUp), dot(square, levelBack));
  vec3 v = vec3(dot(toEye, levelRight), dot(toEye, levelUp), dot(toEye, levelBack));
  vec3 r = 2.0 * dot(n, v) * n - v;
  float sky = smoothstep(-0.25 - rough, 0.35 + rough, r.y);
  vec3 mirrored = mix(vec3(0.27, 0.268, 0.266), mix(vec3(0.38), vec3(0.60, 0.61, 0.63), clamp(r.y, 0.0, 1.0)), sky) + softboxes(r, rough);
  vec3 round = mix(vec3(0.32), vec3(0.58, 0.59, 0.61), 0.5 + 0.5 * n.y)
    + 0.62 * max(dot(n, vec3(-0.55, 0.68, 0.48)), 0.0) + 0.26 * max(dot(n, vec3(0.81, 0.5, 0.3)), 0.0);
  float grazing = pow(1.0 - clamp(dot(n, v), 0.0, 1.0), 5.0) * (1.0 - rough) * 0.6;
  vec3 mirror = mix(vec3(0.04), colour, metal);
  return colour * (1.0 - 0.82 * metal) * round * 0.8 + (mirror + (1.0 - mirror) * grazing) * mirrored * 0.62;
}
vec3 shown(vec3 light) {
  vec3 soft = light / (1.0 + 0.16 * light * light);
  return pow(clamp(soft, 0.0, 1.0), vec3(1.0 / 2.2));
}`;

const HEAD = `
precision highp float;
uniform mat4 modelMatrix;
uniform mat4 viewMatrix;
uniform mat4 projectionMatrix;
uniform vec3 cameraPosition;
attribute vec3 position;`;

const CUT = `
#ifdef CUT
uniform vec4 cutPlane;
varying float beyond;
#endif`;

/** @typedef {{quality: 'plain'|'fine', cut?: THREE.Vector4, opacity?: number, tint?: THREE.Vector4}} Finish */

/** What all materials of one picture share: the studio turns with the eye. */
export const studio = {
  levelRight: { value: new THREE.Vector3(1, 0, 0) },
  levelUp: { value: new THREE.Vector3(0, 0, 1) },
  levelBack: { value: new THREE.Vector3(0, -1, 0) },
};

/**
 * Light every view from over the left shoulder; the sky stays up unless one looks straight up or down.
 * @param {THREE.Camera} camera
 */
export function turnStudio(camera) {
  const { elements: e } = camera.matrixWorld;
  const back = new THREE.Vector3(e[8], e[9], e[10]);
  const up = new THREE.Vector3(0, 0, 1);
  if (Math.abs(back.z) > 0.9) up.set(e[4], e[5], e[6]);
  studio.levelRight.value.set(e[0], e[1], e[2]);
  studio.levelUp.value.copy(up);
  studio.levelBack.value.crossVectors(studio.levelRight.value, up).normalize();
}

/** Surfaces in their own looks. @param {Finish} finish */
export function surface({ quality, cut, opacity = 1, tint }) {
  const vertex = `${HEAD}${CUT}
attribute vec3 normal;
attribute vec4 look;
attribute float metal;
varying vec3 shade;
varying vec3 square;
varying vec3 eye;
varying vec2 finish;
uniform vec4 tint;
${quality === 'plain' ? STUDIO : ''}
void main() {
  vec4 at = modelMatrix * vec4(position, 1.0);
  vec3 n = mat3(modelMatrix) * normal;
  vec3 colour = pow(mix(look.rgb, tint.rgb, tint.a), vec3(2.2));
  gl_Position = projectionMatrix * viewMatrix * at;
#ifdef CUT
  beyond = dot(cutPlane.xyz, at.xyz) - cutPlane.w;
#endif
  ${
    quality === 'plain'
      ? 'shade = shown(lit(normalize(n), normalize(cameraPosition - at.xyz), colour, metal, look.a));'
      : 'shade = colour; square = n; eye = cameraPosition - at.xyz; finish = vec2(metal, look.a);'
  }
}`;
  const fragment = `precision highp float;${CUT}
varying vec3 shade;
varying vec3 square;
varying vec3 eye;
varying vec2 finish;
uniform float opacity;
${quality === 'fine' ? STUDIO : ''}
void main() {
#ifdef CUT
  if (beyond > 0.0) discard;
#endif
  ${quality === 'fine' ? 'vec3 seen = shown(lit(normalize(square), normalize(eye), shade, finish.x, finish.y));' : 'vec3 seen = shade;'}
  gl_FragColor = vec4(seen, opacity);
}`;
  return new THREE.RawShaderMaterial({
    vertexShader: vertex,
    fragmentShader: fragment,
    defines: cut ? { CUT: 1 } : {},
    uniforms: {
      ...studio,
      opacity: { value: opacity },
      tint: { value: tint ?? new THREE.Vector4(0, 0, 0, 0) },
      cutPlane: { value: cut ?? new THREE.Vector4() },
    },
    transparent: opacity < 1,
    depthWrite: opacity >= 1,
    side: THREE.FrontSide,
    polygonOffset: true,
    polygonOffsetFactor: 0.5,
    polygonOffsetUnits: 1,
  });
}

/**
 * Thin lines or flat faces in one colour.
 * @param {readonly number[]} colour sRGB
 * @param {number} opacity
 * @param {THREE.Vector4} [cut]
 */
export function flat(colour, opacity, cut) {
  return new THREE.RawShaderMaterial({
    vertexShader: `${HEAD}${CUT}
void main() {
  vec4 at = modelMatrix * vec4(position, 1.0);
  gl_Position = projectionMatrix * viewMatrix * at;
#ifdef CUT
  beyond = dot(cutPlane.xyz, at.xyz) - cutPlane.w;
#endif
}`,
    fragmentShader: `precision highp float;${CUT}
uniform vec4 colour;
void main() {
#ifdef CUT
  if (beyond > 0.0) discard;
#endif
  gl_FragColor = colour;
}`,
    defines: cut ? { CUT: 1 } : {},
    uniforms: {
      colour: { value: new THREE.Vector4(colour[0], colour[1], colour[2], opacity) },
      cutPlane: { value: cut ?? new THREE.Vector4() },
    },
    transparent: opacity < 1,
    depthWrite: opacity >= 1,
  });
}

/**
 * The face of a cut: its own flat colour, hatched at 45 degrees.
 * @param {readonly number[]} colour sRGB
 * @param {readonly number[]} ink sRGB
 * @param {number} spacing_mm
 */
export function hatched(colour, ink, spacing_mm) {
  return new THREE.RawShaderMaterial({
    vertexShader: `${HEAD}
varying vec2 place;
void main() {
  place = position.xy;
  gl_Position = projectionMatrix * viewMatrix * modelMatrix * vec4(position, 1.0);
}`,
    fragmentShader: `precision highp float;
varying vec2 place;
uniform vec3 colour;
uniform vec3 ink;
uniform float spacing;
void main() {
  float line = abs(fract((place.x + place.y) / (1.4142 * spacing)) - 0.5);
  gl_FragColor = vec4(mix(colour, ink, 0.5 * (1.0 - smoothstep(0.03, 0.09, line))), 1.0);
}`,
    uniforms: {
      colour: { value: new THREE.Vector3(...colour) },
      ink: { value: new THREE.Vector3(...ink) },
      spacing: { value: spacing_mm },
    },
    side: THREE.DoubleSide,
  });
}
