// @vitest-environment node
// The types of this folder are written by hand; here each is held against the description that the server is tested with.
import { readFileSync } from 'node:fs';
import ts from 'typescript';
import { afterEach, describe, expect, test, vi } from 'vitest';
import { calls, modules } from './calls.fixture';
import { pairs } from './pairs.fixture';

interface Schema {
  type?: string | string[];
  properties?: Record<string, Schema>;
  required?: string[];
  items?: Schema;
  $ref?: string;
  anyOf?: Schema[];
  additionalProperties?: unknown;
}
interface Operation {
  parameters?: { name: string; in: string }[];
}
const description = JSON.parse(
  readFileSync(new URL('../../../../testdata/api/openapi.json', import.meta.url), 'utf8'),
) as {
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, Schema> };
};

interface Member {
  optional: boolean;
  kind: string;
}
const interfaces = new Map<string, { members: Map<string, Member>; base: string[] }>();
const aliases = new Map<string, string>();

for (const file of [
  'types',
  'tagging',
  'case',
  'consent',
  'earlier',
  'finding',
  'followup',
  'inbox',
  'intake',
  'level',
  'meeting',
  'record',
  'recording',
  'report',
  'compare',
  'study',
  'teaching',
  'theme',
  'unit',
  'unitrecord',
]) {
  const text = readFileSync(new URL(`./${file}.ts`, import.meta.url), 'utf8');
  for (const s of ts.createSourceFile(file, text, ts.ScriptTarget.ES2022, true).statements) {
    if (ts.isTypeAliasDeclaration(s)) aliases.set(s.name.text, s.type.getText());
    if (!ts.isInterfaceDeclaration(s)) continue;
    const members = new Map<string, Member>();
    for (const m of s.members) {
      if (ts.isPropertySignature(m) && m.type) {
        members.set(m.name.getText(), { optional: m.questionToken !== undefined, kind: m.type.getText() });
      }
    }
    const base = s.heritageClauses?.flatMap((h) => h.types.map((t) => t.expression.getText())) ?? [];
    interfaces.set(s.name.text, { members, base });
  }
}

function membersOf(name: string): Map<string, Member> {
  const found = interfaces.get(name);
  if (!found) throw new Error(`There is no interface ${name}.`);
  return new Map([...found.base.flatMap((b) => [...membersOf(b)]), ...found.members]);
}

/** What JSON holds for a type of ours: string, number, boolean, array or object; with "null" if it may be null. */
function jsonOf(kind: string): Set<string> {
  const parts = kind
    .replace(/\s+/g, ' ')
    .replace(/^\| /, '')
    .split(/ \| (?![^<{[]*[>}\]])/);
  const found = new Set<string>();
  for (const part of parts.map((p) => p.trim())) {
    if (part === 'null') found.add('null');
    else if (/\[\]$|^\[/.test(part)) found.add('array');
    else if (/^'|^string$/.test(part)) found.add('string');
    else if (part === 'number' || part === 'boolean') found.add(part);
    else if (aliases.has(part)) for (const k of jsonOf(aliases.get(part) ?? '')) found.add(k);
    else found.add('object');
  }
  return found;
}

function schemaJson(schema: Schema): Set<string> {
  if (schema.anyOf) return new Set(schema.anyOf.flatMap((s) => [...schemaJson(s)]));
  if (schema.$ref) return new Set(['object']);
  const types = Array.isArray(schema.type) ? schema.type : [schema.type ?? 'object'];
  return new Set(types.map((t) => (t === 'integer' ? 'number' : t)));
}

describe('the types are those of the description', () => {
  test.each(pairs)('%s is %s', (ours, theirs, how) => {
    const schema = description.components.schemas[theirs];
    const properties = schema?.properties ?? {};
    const members = membersOf(ours);
    if (how !== 'part') expect([...members.keys()].sort()).toEqual(Object.keys(properties).sort());
    for (const [name, member] of members) {
      const property = properties[name];
      expect(property, `${theirs}.${name}`).toBeDefined();
      if (!property) continue;
      const required = schema?.required?.includes(name) ?? false;
      if (how === 'filled' && !required) expect(member.optional, `${ours}.${name} is given`).toBe(false);
      else expect(member.optional, `${ours}.${name} may be absent`).toBe(!required);
      const wanted = schemaJson(property);
      const given = jsonOf(member.kind);
      // An empty list may travel as null; who reads lists takes both.
      if (wanted.has('array')) given.delete('null');
      if (wanted.has('array')) wanted.delete('null');
      expect([...given].sort(), `${ours}.${name}`).toEqual([...wanted].sort());
    }
  });
});

describe('every address exists', () => {
  afterEach(() => vi.unstubAllGlobals());

  test.each(calls)('%s', async (_, call) => {
    const fetched = vi.fn().mockResolvedValue(new Response(null, { status: 204 }));
    vi.stubGlobal('fetch', fetched);
    await call();
    const [to, { method }] = fetched.mock.calls[0] as [string, { method: string }];
    const asked = new URL(to, 'http://unit.example');
    const found = Object.entries(description.paths).find(([path, operations]) => {
      const pattern = new RegExp(`^(?:/api/v1)?${path.replace(/^\/api\/v1/, '').replace(/\{[^}]+\}/g, '[^/]+')}$`);
      return pattern.test(asked.pathname) && operations[method.toLowerCase()];
    });
    expect(found, `${method} ${asked.pathname}`).toBeDefined();
    const parameters = found?.[1][method.toLowerCase()]?.parameters ?? [];
    const known = parameters.filter((p) => p.in === 'query').map((p) => p.name);
    for (const name of asked.searchParams.keys()) expect(known, `${method} ${asked.pathname}`).toContain(name);
  });

  test('nothing of this folder is left out', () => {
    const exported = modules.flatMap((m) => Object.keys(m));
    const tried = new Set([...calls.map(([name]) => name), 'letter']);
    expect(exported.filter((name) => !tried.has(name))).toEqual([]);
  });
});
