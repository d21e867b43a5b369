/** The evidence log against published vectors: JSON canonicalisation and Merkle trees. */
import { canonicalBytes, canonicalJson } from '#domain/evidence/canonical-json';
import { leafHash, rootOfLeafHashes } from '#domain/evidence/merkle';
import { consistencyProof, inclusionProof, verifyConsistency, verifyInclusion } from '#domain/evidence/proof';

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex');
const unhex = (text: string): Uint8Array => Buffer.from(text, 'hex');

describe('RFC 8785, JSON Canonicalization Scheme', () => {
  // Test data published by an author of the RFC: github.com/cyberphone/json-canonicalization, testdata/{input,output,outhex}.
  it('structures.json (its 56.0 is the integer 56)', () => {
    const input = '{\n  "1": {"f": {"f": "hi","F": 5} ,"\\n": 56.0},\n  "10": { },\n  "": "empty",\n  "a": { },\n  "111": [ { } ],\n  "A": { }\n}';
    const output = '{"":"empty","1":{"\\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{}],"A":{},"a":{}}';
    expect(canonicalJson(JSON.parse(input))).toBe(output);
  });

  it('arrays.json: arrays keep their order, the objects in them do not', () => {
    const input = '[\n  56,\n  {\n    "d": true,\n    "10": null,\n    "1": [ ]\n  }\n]';
    expect(canonicalJson(JSON.parse(input))).toBe('[56,{"1":[],"10":null,"d":true}]');
  });

  it('weird.json', () => {
    const input = `{
      "\\u20ac": "Euro Sign", "1": "One", "\\u0080": "Control\\u007f", "\\ud83d\\ude02": "Smiley",
      "\\u00f6": "Latin Small Letter O With Diaeresis", "\\ufb33": "Hebrew Letter Dalet With Dagesh",
      "</script>": "Browser Challenge"
    }`;
    const output =
      '{"1":"One","</script>":"Browser Challenge","\u0080":"Control\u007f","\u00f6":"Latin Small Letter O With Diaeresis",' +
      '"\u20ac":"Euro Sign","\u{1f602}":"Smiley","\ufb33":"Hebrew Letter Dalet With Dagesh"}';
    expect(canonicalJson(JSON.parse(input))).toBe(output);
  });

  it('french.json', () => {
    const input = {
      sin: 'ingnore locale',
      'pêche': 'but canonicalization MUST',
      'péché': 'is wrong according to French',
      peach: 'This sorting order',
    };
    const output =
      '{"peach":"This sorting order","péché":"is wrong according to French","pêche":"but canonicalization MUST","sin":"ingnore locale"}';
    expect(canonicalJson(input)).toBe(output);
  });

  it('unicode.json: nothing is normalised', () => {
    expect(canonicalJson(JSON.parse('{ "Unnormalized Unicode":"\\u1e0d\\u0307" }'))).toBe('{"Unnormalized Unicode":"\u1e0d\u0307"}');
  });

  it('simpleString.json, by its bytes', () => {
    const outhex = '22 74 68 69 73 20 69 73 20 61 20 74 65 73 74 20 73 74 72 69 6E 67 20 31 32 33 35 22';
    expect(hex(canonicalBytes('this is a test string 1235'))).toBe(outhex.replaceAll(' ', '').toLowerCase());
  });

  it('values.json: string and literals of RFC 8785 3.2.2; its fractions are refused here on purpose', () => {
    const output = '{"escaping":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/","literals":[null,true,false]}';
    const input = { literals: [null, true, false], escaping: '\u20ac$\u000f\nA\'B"\\\\"/' };
    expect(canonicalJson(input)).toBe(output);
    expect(() => canonicalJson([4.5])).toThrow('safe integer');
  });

  it('RFC 8785 appendix B, the integers of the table (from memory): zero, minus zero, the largest safe ones', () => {
    expect(canonicalJson([0, -0, 9007199254740991, -9007199254740991])).toBe('[0,0,9007199254740991,-9007199254740991]');
  });
});

describe('RFC 6962 / RFC 9162, Merkle trees', () => {
  // Reference tree, roots, paths and proofs: github.com/google/certificate-transparency, cpp/merkletree/merkle_tree_test.cc.
  const LEAVES = ['', '00', '10', '2021', '3031', '40414243', '5051525354555657', '606162636465666768696a6b6c6d6e6f'];
  const ROOTS = [
    'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855',
    '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d',
    'fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125',
    'aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77',
    'd37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7',
    '4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4',
    '76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef',
    'ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c',
    '5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328',
  ];
  const hashes = LEAVES.map((leaf) => leafHash(unhex(leaf)));
  const headAt = (size: number): { size: number; root: Uint8Array } => ({ size, root: unhex(ROOTS[size] ?? '') });

  it.each(ROOTS.map((root, size) => ({ root, size })))('root over $size leaves', ({ root, size }) => {
    expect(hex(rootOfLeafHashes(hashes.slice(0, size)))).toBe(root);
  });

  // The source counts leaves from one; RFC 9162 and this program from zero.
  it.each([
    { leaf: 1, size: 1, path: [] },
    {
      leaf: 1,
      size: 8,
      path: [
        '96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7',
        '5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e',
        '6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4',
      ],
    },
    {
      leaf: 6,
      size: 8,
      path: [
        'bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b',
        'ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0',
        'd37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7',
      ],
    },
    { leaf: 3, size: 3, path: ['fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125'] },
    {
      leaf: 2,
      size: 5,
      path: [
        '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d',
        '5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e',
        'bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b',
      ],
    },
  ])('inclusion of leaf $leaf in a tree of $size', ({ leaf, size, path }) => {
    const index = leaf - 1;
    const proof = inclusionProof({ index, leafHashes: hashes.slice(0, size) });
    expect(proof?.map(hex)).toEqual(path);
    const leafHashAt = hashes[index] ?? new Uint8Array(0);
    expect(verifyInclusion({ index, leafHash: leafHashAt, head: headAt(size), proof: path.map(unhex) })).toBe(true);
  });

  it.each([
    { older: 1, newer: 1, path: [] },
    {
      older: 1,
      newer: 8,
      path: [
        '96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7',
        '5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e',
        '6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4',
      ],
    },
    {
      older: 6,
      newer: 8,
      path: [
        '0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a',
        'ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0',
        'd37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7',
      ],
    },
    {
      older: 2,
      newer: 5,
      path: [
        '5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e',
        'bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b',
      ],
    },
  ])('consistency of $older leaves with $newer', ({ older, newer, path }) => {
    const proof = consistencyProof({ olderSize: older, leafHashes: hashes.slice(0, newer) });
    expect(proof?.map(hex)).toEqual(path);
    expect(verifyConsistency({ older: headAt(older), newer: headAt(newer), proof: path.map(unhex) })).toBe(true);
  });

  // github.com/transparency-dev/merkle, testdata/consistency/3 (2 leaves, then 5): its proof with one thing wrong each.
  it('the consistency proof of 2 leaves with 5 is refused with anything changed', () => {
    const [first, second] = ['5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e', 'bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b'].map(unhex);
    const claim = { older: headAt(2), newer: headAt(5), proof: [first, second] as Uint8Array[] };
    expect(verifyConsistency(claim)).toBe(true);
    const wrongRoot = Buffer.from('V3JvbmdSb290', 'base64');
    const garbage = Buffer.alloc(0);
    const flipped = claim.proof.map((_, place) => claim.proof.map((step, index) => (index === place ? Uint8Array.from(step, (byte, at) => (at === 0 ? byte ^ 16 : byte)) : step)));
    const wrong: (typeof claim)[] = [
      { ...claim, older: { size: 2, root: wrongRoot } },
      { ...claim, newer: { size: 5, root: wrongRoot } },
      { ...claim, older: { size: 2, root: claim.newer.root }, newer: { size: 5, root: claim.older.root } },
      { ...claim, proof: [] },
      ...[1, 3, 0].map((size) => ({ ...claim, older: { ...claim.older, size } })),
      ...[10, 2].map((size) => ({ ...claim, newer: { ...claim.newer, size } })),
      ...[garbage, claim.older.root, claim.newer.root].flatMap((extra) => [{ ...claim, proof: [...claim.proof, extra] }, { ...claim, proof: [extra, ...claim.proof] }]),
      { ...claim, proof: claim.proof.slice(0, 1) },
      ...flipped.map((proof) => ({ ...claim, proof })),
    ];
    expect(wrong.filter((each) => verifyConsistency(each))).toEqual([]);
  });
});

describe('RFC 6962 section 2.1.3, RFC 9162 section 2.1.5: the example of seven leaves', () => {
  const d = Array.from({ length: 7 }, (_, index) => leafHash(Buffer.from(`d${index}`)));
  const over = (start: number, end: number): string => hex(rootOfLeafHashes(d.slice(start, end)));
  // The nodes by the letters of the figure.
  const node = {
    a: over(0, 1), b: over(1, 2), c: over(2, 3), d: over(3, 4), e: over(4, 5), f: over(5, 6), j: over(6, 7),
    g: over(0, 2), h: over(2, 4), i: over(4, 6), k: over(0, 4), l: over(4, 7),
  };

  it.each([
    [0, [node.b, node.h, node.l]],
    [3, [node.c, node.g, node.l]],
    [4, [node.f, node.j, node.k]],
    [6, [node.i, node.k]],
  ])('the audit path of d%s', (index, path) => {
    const proof = inclusionProof({ index, leafHashes: d });
    expect(proof?.map(hex)).toEqual(path);
    expect(verifyInclusion({ index, leafHash: d[index] ?? new Uint8Array(0), head: { size: 7, root: rootOfLeafHashes(d) }, proof: path.map(unhex) })).toBe(true);
  });

  it.each([
    [3, [node.c, node.d, node.g, node.l]],
    [4, [node.l]],
    [6, [node.i, node.j, node.k]],
  ])('the consistency proof of %s leaves with seven', (older, path) => {
    const proof = consistencyProof({ olderSize: older, leafHashes: d });
    expect(proof?.map(hex)).toEqual(path);
    const head = (size: number) => ({ size, root: rootOfLeafHashes(d.slice(0, size)) });
    expect(verifyConsistency({ older: head(older), newer: head(7), proof: path.map(unhex) })).toBe(true);
  });
});
