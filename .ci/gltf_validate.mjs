// Khronos's own validator on GLB files: prints one JSON object a file, with every message.
// node .ci/gltf_validate.mjs FILE...
import { readFileSync } from 'node:fs';
import { validateBytes } from 'gltf-validator';

for (const path of process.argv.slice(2)) {
  const { issues, info } = await validateBytes(new Uint8Array(readFileSync(path)), { maxIssues: 0 });
  console.log(JSON.stringify({ messages: issues.messages, info }));
}
