import jsqr from 'jsqr';
import { codeOf } from '#statement/page/code';

/** As a camera would see it: black squares on white, four pixels a module. */
function seen(address: string): { pixels: Uint8ClampedArray; side: number } {
  const { modules, runs } = codeOf(address);
  const side = modules * 4;
  const pixels = new Uint8ClampedArray(side * side * 4).fill(255);
  for (const run of runs) {
    for (let y = run.y * 4; y < (run.y + run.height) * 4; y += 1) {
      for (let x = run.x * 4; x < (run.x + run.width) * 4; x += 1) pixels.fill(0, (y * side + x) * 4, (y * side + x) * 4 + 3);
    }
  }
  return { pixels, side };
}

it.each(['http://127.0.0.1:4800/verifier.html', 'https://ledger.example/verifier.html', `https://${'a'.repeat(120)}.example/v`])('a reader of another maker reads %s from it', (address) => {
  const { pixels, side } = seen(address);
  expect(jsqr(pixels, side, side)?.data).toBe(address);
});

it('leaves the quiet zone of four modules light on every side', () => {
  const { modules, runs } = codeOf('https://ledger.example/verifier.html');
  expect(Math.min(...runs.flatMap(({ x, y }) => [x, y]))).toBe(4);
  expect(Math.max(...runs.flatMap(({ x, y, width }) => [x + width, y + 1]))).toBe(modules - 4);
});
