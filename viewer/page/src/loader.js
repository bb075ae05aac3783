// The one script that a page runs as it stands: it unpacks the others, which the page's policy names by their hashes.
// Where it cannot, what is written for pages without scripts is shown instead.
(async () => {
  const held = async (/** @type {string} */ id) => {
    const packed = document.getElementById(id)?.textContent ?? '';
    const bytes = Uint8Array.from(atob(packed.trim()), (letter) => letter.charCodeAt(0));
    return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate'))).text();
  };
  const [three, app] = await Promise.all([held('three'), held('app-modules')]);
  for (const [kind, text] of [['', three], ['module', app]]) {
    const script = document.createElement('script');
    script.type = kind;
    script.textContent = text;
    document.body.append(script);
  }
})().catch(() => document.documentElement.classList.remove('scripted'));
