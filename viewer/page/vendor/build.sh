#!/usr/bin/env bash
# Builds three.js into the one file that every page carries. Development time only: needs the tools of .ci/package.json.
set -euo pipefail
cd "$(dirname "$0")"
modules=../../../.ci/node_modules
licence="$(head -c 400 "$modules/three/LICENSE" | head -3 | tr '\n' ' ')"
# The package of esbuild holds its program for each system; its install script, which only links it, need not run.
esbuild=$(ls "$modules"/@esbuild/*/bin/esbuild | head -1)
NODE_PATH="$modules" "$esbuild" three.entry.mjs --bundle --minify --format=iife --global-name=THREE --target=es2022 \
    --legal-comments=none "--banner:js=/* three.js: $licence(full text: three.LICENSE.txt) */" --outfile=three.js
cp "$modules/three/LICENSE" three.LICENSE.txt
