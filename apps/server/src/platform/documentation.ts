import { api, type Endpoint } from '@rundlet/contracts';
import { z } from 'zod';

/** The API on one page, for people: plain HTML without a script. */
export function documentationPage(): string {
  const features = Object.entries(api).map(([feature, endpoints]) => ({
    feature,
    endpoints: Object.values(endpoints as Record<string, Endpoint>),
  }));
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Rundlet API</title>
<link rel="icon" href="/icon.svg" type="image/svg+xml">
<link rel="stylesheet" href="/api/docs.css">
</head>
<body>
<header>
<h1>Rundlet API</h1>
<p>Every endpoint, as the server, the web app and the command line share it. The same as OpenAPI 3.1: <a href="/api/openapi.json">/api/openapi.json</a>.</p>
<p>Sign in with <code>POST /api/session</code> and keep the cookie; send the session’s token as <code>x-csrf-token</code> with everything but GET. Programs and scanners send <code>Authorization: Bearer …</code> with a device token instead. Refusals are problem details (RFC 9457) whose <code>errors</code> point at the fields.</p>
<nav>${features.map(({ feature }) => `<a href="#${feature}">${feature}</a>`).join(' ')}</nav>
</header>
<main>
${features.map(({ feature, endpoints }) => `<section id="${feature}"><h2>${feature}</h2>${endpoints.map(article).join('')}</section>`).join('\n')}
</main>
</body>
</html>`;
}

function article(e: Endpoint): string {
  return `<article><h3><span class="method">${e.method}</span> <code>${escaped(e.path)}</code></h3>
<p>${escaped(e.summary)}. <span class="access">${accessOf(e)}</span></p>
${schema('Query', e.query)}${e.method === 'POST' ? schema('Body', e.body) : ''}${e.file ? `<p>Answers with a file: <code>${e.file}</code>.</p>` : schema('Answer', e.response)}</article>`;
}

function accessOf({ access }: Endpoint): string {
  if (access === 'public') return 'Open to everybody.';
  return access === 'signed-in' ? 'For anybody signed in.' : `Role: ${access}.`;
}

function schema(title: string, type: z.ZodType): string {
  const made = z.toJSONSchema(type, { io: 'input', unrepresentable: 'any' });
  delete made.$schema;
  if (made.type === 'object' && Object.keys(made.properties ?? {}).length === 0) return '';
  return `<details><summary>${title}</summary><pre>${escaped(JSON.stringify(made, null, 2))}</pre></details>`;
}

const escaped = (text: string): string =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');

export const DOCUMENTATION_STYLE = `
:root { color-scheme: light dark; font: 1rem/1.5 system-ui, sans-serif; }
body { margin: 0 auto; max-width: 56rem; padding: 1rem; }
nav { display: flex; flex-wrap: wrap; gap: 0.75rem; }
article { border-top: 1px solid color-mix(in srgb, currentColor 20%, transparent); padding: 0.5rem 0; }
h3 { font-size: 1rem; margin: 0.5rem 0; }
p { margin: 0.25rem 0; }
.method { display: inline-block; font-weight: 700; min-width: 4.5rem; }
.access { opacity: 0.75; }
code, pre { font-family: ui-monospace, monospace; font-size: 0.875rem; overflow-wrap: anywhere; }
pre { overflow: auto; max-height: 28rem; padding: 0.75rem; background: color-mix(in srgb, currentColor 6%, transparent); }
summary { cursor: pointer; min-height: 1.75rem; }
`;
