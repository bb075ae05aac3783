// What the page takes from three.js; the rest is left out of the built file. After a change here: vendor/build.sh
export {
  AlwaysStencilFunc, BackSide, BufferAttribute, BufferGeometry, Color, DecrementWrapStencilOp, DoubleSide, FrontSide, Group,
  IncrementWrapStencilOp, KeepStencilOp, LineSegments, LinearSRGBColorSpace, Matrix4, Mesh, NoToneMapping, NotEqualStencilFunc,
  PerspectiveCamera, PlaneGeometry, RawShaderMaterial, Scene, Sphere, Vector2, Vector3, Vector4, WebGLRenderer, ZeroStencilOp,
} from 'three';
