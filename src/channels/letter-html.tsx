import { renderToString } from 'preact-render-to-string';
import type { Caution, SignalWord } from '../domain/cautions.js';
import type { Letter, LetterBlock } from '../domain/results/letter.js';
import { unbroken } from '../words/unbroken.js';

/** Colours of the panels that hold the signal words, and whether the alert symbol stands before them: it does for all that
 *  can hurt a person, and not for NOTICE. Source: ANSI Z535.4-2007 (red, orange, yellow, blue); the screen values and the
 *  colours of the letters are from memory. */
const panels: Readonly<
  Record<SignalWord, { readonly ground: string; readonly letters: string; readonly alert: boolean }>
> = {
  DANGER: { ground: '#bd2024', letters: '#ffffff', alert: true },
  WARNING: { ground: '#ff7900', letters: '#000000', alert: true },
  CAUTION: { ground: '#ffd100', letters: '#000000', alert: true },
  NOTICE: { ground: '#00569e', letters: '#ffffff', alert: false },
};

const serif = 'Georgia, Charter, Cambria, serif';
const sans = 'system-ui, -apple-system, Segoe UI, Roboto, Helvetica, Arial, sans-serif';

/** What inline styles cannot say: the same paper reversed, where the reader's screen is dark. */
const darkRules = `
:root { color-scheme: light dark; supported-color-schemes: light dark; }
@media (prefers-color-scheme: dark) {
  .paper { background: #1d1b17 !important; color: #ece5d6 !important; }
  .soft { color: #b9b09d !important; }
  .rule { border-color: #5a5345 !important; }
  .address { color: #d9c9a3 !important; }
  .button { background: #ece5d6 !important; color: #1d1b17 !important; }
}`;

/** A letter as one HTML page in one column: nothing is fetched, every main address is a button and is also written out. It says
 *  nothing that the plain text does not say; a picture travels inside the mail, and no picture is needed.
 *  @param picture  Content-ID of the mail's part that holds it, and what it shows; null: none
 *  @param lang     BCP 47 language tag of the words */
export function writeLetterHtml(
  letter: Letter,
  picture: { readonly cid: string; readonly alt: string } | null = null,
  lang = 'en',
): string {
  const page = (
    <html lang={lang}>
      <head>
        <meta charSet="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="color-scheme" content="light dark" />
        <meta name="supported-color-schemes" content="light dark" />
        <title>{letter.subject}</title>
        <style>{darkRules}</style>
      </head>
      <body class="paper" style="margin:0;padding:0;background:#f7f2e6;color:#2a2620">
        <div
          class="paper"
          style={`max-width:36em;margin:0 auto;padding:24px 20px;background:#f7f2e6;color:#2a2620;font:17px/1.5 ${sans}`}
        >
          <p style={`margin:0 0 20px;font:22px/1.4 ${serif}`}>{unbroken(letter.lead)}</p>
          {letter.blocks.map((block) => (
            <Block block={block} />
          ))}
          {picture === null ? null : (
            <img
              class="soft"
              src={`cid:${picture.cid}`}
              alt={picture.alt}
              width="364"
              style={`display:block;width:100%;max-width:364px;height:auto;margin:22px 0 0;border:0;font:14px/1.45 ${sans};color:#6d6453`}
            />
          )}
        </div>
      </body>
    </html>
  );
  return `<!DOCTYPE html>\n${renderToString(page)}\n`;
}

function Block({ block }: { readonly block: LetterBlock }) {
  switch (block.kind) {
    case 'heading':
      return (
        <h2
          class="rule"
          style={`margin:28px 0 10px;padding-top:12px;border-top:1px solid #cfc4ab;font:italic 19px/1.3 ${serif}`}
        >
          {unbroken(block.text)}
        </h2>
      );
    case 'text':
      return <p style="margin:0 0 14px">{unbroken(block.text)}</p>;
    case 'list':
      return (
        <ul style="margin:0 0 14px;padding-left:22px">
          <Items items={block.items} />
        </ul>
      );
    case 'numbered':
      return (
        <ol style="margin:0 0 14px;padding-left:28px">
          <Items items={block.items} />
        </ol>
      );
    case 'typed':
      return (
        <pre style="margin:0 0 14px;white-space:pre-wrap;overflow-wrap:anywhere">
          <code>{block.text}</code>
        </pre>
      );
    case 'caution':
      return <CautionBox caution={block.caution} />;
    case 'link':
      return <Link label={block.label} url={block.url} main={block.main} />;
  }
}

function Items({ items }: { readonly items: readonly string[] }) {
  return (
    <>
      {items.map((item) => (
        <li style="margin:0 0 6px">{unbroken(item)}</li>
      ))}
    </>
  );
}

function CautionBox({ caution }: { readonly caution: Caution }) {
  const panel = panels[caution.signal];
  const slant = caution.signal === 'NOTICE' ? 'italic ' : '';
  return (
    <div style={`margin:0 0 14px;border:2px solid ${panel.ground};border-radius:3px`}>
      <div
        style={`padding:4px 12px;background:${panel.ground};color:${panel.letters};font:${slant}bold 17px/1.4 ${sans};letter-spacing:.04em`}
      >
        {panel.alert ? '\u26a0\ufe0e ' : ''}
        {caution.signal}
      </div>
      <div style="padding:10px 12px">
        {caution.hazard} <strong>{caution.avoid}</strong>
      </div>
    </div>
  );
}

function Link({ label, url, main }: { readonly label: string; readonly url: string; readonly main: boolean }) {
  const opens = /^https?:\/\/[^\s]+$/.test(url);
  const written = `${opens ? '' : `${label}: `}${url}`;
  const address = opens ? (
    <a class="address" href={url} style="color:#6b4f1d;word-break:break-all">
      {written}
    </a>
  ) : (
    <span style="word-break:break-all">{written}</span>
  );
  if (!main || !opens) {
    return (
      <p style="margin:0 0 14px">
        {opens ? `${label}: ` : ''}
        {address}
      </p>
    );
  }
  return (
    <div style="margin:18px 0 16px">
      <a
        class="button"
        href={url}
        style="display:block;box-sizing:border-box;min-height:48px;padding:12px 18px;border-radius:4px;background:#2a2620;color:#f7f2e6;font-weight:bold;text-align:center;text-decoration:none"
      >
        {label}
      </a>
      <div class="soft" style="margin-top:6px;font-size:14px;color:#6d6453">
        {address}
      </div>
    </div>
  );
}
