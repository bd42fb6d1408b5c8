"""A real browser looks at a page: how wide it is, and how its letters stand out."""

import html
import json
import re
import subprocess
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from diagnose.reports.pdf import browser, options

HOST = """<!DOCTYPE html><meta charset="utf-8"><body style="margin:0">
{frames}<pre id="measured"></pre><script>
const all = [];
function parts(text) {{ return text.match(/[\\d.]+/g).map(Number); }}
function light(rgb) {{
  const [r, g, b] = rgb.slice(0, 3).map(v => v / 255)
    .map(v => v <= 0.04045 ? v / 12.92 : Math.pow((v + 0.055) / 1.055, 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}}
function behind(el, view) {{
  for (let at = el; at; at = at.parentElement) {{
    const c = parts(view.getComputedStyle(at).backgroundColor);
    if (c.length < 4 || c[3] > 0) return c;
  }}
  return [255, 255, 255];
}}
for (const frame of document.querySelectorAll('iframe')) frame.addEventListener('load', event => {{
  const doc = event.target.contentDocument, view = event.target.contentWindow;
  const MOST = frame.clientWidth, wide = [], faint = [];
  let letters = 0, scripts = doc.scripts.length;
  for (const el of doc.body.querySelectorAll('*')) {{
    const box = el.getBoundingClientRect();
    if (box.right > MOST + 0.5 || box.left < -0.5) wide.push(el.tagName + ' ' + box.right);
    const own = [...el.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
    const named = ['TITLE', 'DESC', 'STYLE'].includes(el.tagName.toUpperCase());
    if (!own || named) continue;
    letters += 1;
    const style = view.getComputedStyle(el), drawn = el.namespaceURI.endsWith('svg');
    const a = light(parts(drawn ? style.fill : style.color)), b = light(behind(el, view));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) faint.push(el.tagName + ' ' + ratio.toFixed(2) + ' ' + el.textContent);
  }}
  const found = {{ scroll: doc.documentElement.scrollWidth, wide, faint, letters, scripts,
    paper: view.getComputedStyle(doc.body).backgroundColor,
    tall: doc.documentElement.scrollHeight }};
  all.push([MOST, found]);
  document.getElementById('measured').textContent = JSON.stringify(all);
}});
</script>"""
FRAME = '<iframe style="border:0;width:{width}px;height:900px" srcdoc="{page}"></iframe>\n'


def look(
    page: str, widths: Iterable[int], folder: Path, dark: bool = False
) -> dict[int, dict[str, Any]]:
    """What the browser finds in a page at each width in pixels; it is started once."""
    host = folder / "host.html"
    frames = (FRAME.format(width=w, page=html.escape(page, quote=True)) for w in widths)
    host.write_text(HOST.format(frames="".join(frames)), "utf-8")
    words = [str(browser()), *options(), f"--user-data-dir={folder}/profile"]
    words += [f"--blink-settings=preferredColorScheme={0 if dark else 1}"]
    words += ["--virtual-time-budget=5000", "--dump-dom", host.as_uri()]
    done = subprocess.run(words, capture_output=True, timeout=120, check=True)
    told = re.search(r'<pre id="measured">(.*?)</pre>', done.stdout.decode("utf-8"), re.DOTALL)
    assert told is not None
    return dict(json.loads(html.unescape(told[1])))
