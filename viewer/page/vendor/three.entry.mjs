// What the page takes from three.js; the rest is left out of the built file. After a change here: vendor/build.sh
export {
  AmbientLight, BufferAttribute, BufferGeometry, Color, DirectionalLight, DoubleSide, FrontSide, Group, HemisphereLight,
  InstancedMesh, LineBasicMaterial, LineSegments, Matrix4, Mesh, MeshBasicMaterial, MeshLambertMaterial,
  MeshPhongMaterial, MeshStandardMaterial, OrthographicCamera, PerspectiveCamera, Plane, Quaternion, Raycaster,
  SRGBColorSpace, Scene, Sphere, Vector2, Vector3, Vector4, WebGLRenderer,
} from 'three';
