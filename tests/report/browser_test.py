#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Opens pages and sheets in a headless Chromium: nothing overflows at three widths or in print, no word is broken, figures are large, no
printed page is empty, and nothing complains. Usage: browser_test.py APLOMB SHEET_OR_EMPTY EXAMPLE... ; exit status 77: no Chromium here."""

import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import zlib

SKIPPED = 77
SHOTS = (("carry", "--load 22kg,hands,forward=0.06,up=0.03,frames=66..208", 5), ("walk", "--belt 0,0,-1.0286", 4))
NARROWEST_WINDOW = 500
LEAST_WORDS = 8  # pieces of text on a printed page that is not empty
# Added to a copy of the page alone. What reaches out of its own box to the right, and what went wrong.
PROBE = """<script>
const LEAST_HEIGHT = 420; // CSS pixels of an upright figure in a window of 1280
const faults = [];
window.addEventListener('error', (e) => faults.push(e.message || 'load ' + e.target.outerHTML), true);
window.addEventListener('load', () => {
  const wide = innerWidth;
  for (const e of document.querySelectorAll('h1, h2, p, table, td, th, figure, svg, li, section'))
    if (e.getBoundingClientRect().right > wide + 1 && !e.closest('.patterns') && !e.closest('.plate')) faults.push('wide ' + e.tagName);
  for (const e of document.querySelectorAll('td, th, p, h1'))
    if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) faults.push('cut ' + e.textContent);
  for (const s of document.querySelectorAll('svg[role=img]')) {
    const box = s.getBoundingClientRect();
    for (const t of s.querySelectorAll('text')) {
      const b = t.getBoundingClientRect();
      if (b.left < box.left - 1 || b.right > box.right + 1 || b.bottom > box.bottom + 1)
        faults.push('cut ' + t.textContent);
    }
  }
  // The body of an upright figure in the front view: what is filled in its blues.
  for (const s of wide >= 1280 ? document.querySelectorAll('svg[aria-labelledby$="-front-title"]') : []) {
    const boxes = [...s.querySelectorAll('path[fill^="#00"]:not([fill="#000000"])')].map(b => b.getBoundingClientRect());
    const tall = Math.max(...boxes.map(b => b.bottom)) - Math.min(...boxes.map(b => b.top));
    if (tall < LEAST_HEIGHT) faults.push('figure of ' + Math.round(tall) + ' pixels');
  }
  const covered = (a, b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1;
  for (const s of document.querySelectorAll('svg[role=img]')) {
    const words = [...s.querySelectorAll('text')];
    words.forEach((t, i) => words.slice(i + 1).forEach(u => {
      if (covered(t.getBoundingClientRect(), u.getBoundingClientRect()))
        faults.push('words over words: ' + t.textContent + ' / ' + u.textContent);
    }));
  }
  // Words may break anywhere so that nothing is cut; in a column that is wide enough none has to.
  document.body.style.overflowWrap = 'normal';
  for (const e of document.querySelectorAll('.plate td, .plate th'))
    if (e.scrollWidth > e.clientWidth + 1 && !e.querySelector('svg')) faults.push('broken ' + e.textContent);
  document.body.style.overflowWrap = '';
  document.documentElement.dataset.probe =
    [document.documentElement.scrollWidth, innerWidth].concat(faults).join('|');
});
</script></head>"""


def run(browser, *arguments):
    # Chromium's own complaints about the machine come on the same stream as the page's.
    done = subprocess.run(
        [browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--enable-logging=stderr",
         *arguments], capture_output=True, text=True, timeout=120, check=True)
    console = [line for line in done.stderr.splitlines() if "CONSOLE" in line]
    return done.stdout, console


def framed(page, width):
    """A page that shows the other one in a frame: a window is never as narrow as a telephone."""
    frame = page.with_name("framed-" + page.name)
    frame.write_text(f"<!DOCTYPE html><html><body><iframe src='{page.name}' style='width: {width}px; height: 1000px' onload='"
                     + "document.documentElement.dataset.probe = this.contentDocument.documentElement.dataset.probe'>"
                     + "</iframe></body></html>", encoding="utf-8")
    return frame


def check_width(browser, page, width):
    shown = page if width > NARROWEST_WINDOW else framed(page, width)
    dom, console = run(browser, "--allow-file-access-from-files", f"--window-size={width},1000", "--dump-dom", shown.as_uri())
    found = re.search(r'data-probe="([^"]*)"', dom)
    if not found:
        return [f"{page.name} at {width}: the probe did not run"]
    scroll, inner, *faults = found.group(1).split("|")
    problems = [f"{page.name} at {width}: {fault}" for fault in faults + console]
    if int(scroll) > int(inner):
        problems.append(f"{page.name} at {width}: {scroll} pixels wide in a window of {inner}")
    return problems


def words_of_pages(pdf):
    """How many pieces of text each page shows (ISO 32000-1, 7.8.2 and 9.4.3)."""
    data = pdf.read_bytes()
    objects = {int(number): body for number, body in re.findall(rb"(?s)(\d+) 0 obj\s(.*?)\sendobj", data)}
    counts = []
    for body in objects.values():
        if not re.search(rb"/Type\s*/Page\b", body):
            continue
        shown = 0
        for number in re.findall(rb"(\d+) 0 R", re.search(rb"/Contents\s*(\[[^]]*\]|\d+ 0 R)", body).group(1)):
            stream = re.search(rb"(?s)stream\r?\n(.*)endstream", objects[int(number)]).group(1)
            shown += len(re.findall(rb"\bT[jJ]\b", zlib.decompressobj().decompress(stream)))
        counts.append(shown)
    return counts


def check_print(browser, page, most):
    """No page may be added by what does not fit: at most so many, and none empty."""
    pdf = page.with_suffix(".pdf")
    run(browser, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", page.as_uri())
    words = words_of_pages(pdf)
    problems = [f"{page.name} in print: page {number} is empty" for number, count in enumerate(words, 1)
                if count < LEAST_WORDS]
    if not 1 <= len(words) <= most:
        problems.append(f"{page.name} in print: {len(words)} pages, {most} expected at most")
    return problems


def check(browser, original, folder, most):
    probed = folder / original.name
    probed.write_text(original.read_text(encoding="utf-8").replace("</head>", PROBE, 1), encoding="utf-8")
    problems = check_print(browser, original, most)
    for width in (1280, 800, 390):
        problems += check_width(browser, probed, width)
    return problems


def sees_what_is_broken(browser, folder):
    """The probe itself: a page that is too wide, throws, shows a small figure or prints an empty page must not pass."""
    page = folder / "broken.html"
    page.write_text("<!DOCTYPE html><html><head>" + PROBE.replace("</head>", "<script>nothing()</script></head>")
                    + "<body><p style='width: 3000px'>wide</p><svg role='img' aria-labelledby='before-front-title'>"
                    + "<path fill='#0072B2' d='M0 0L9 0L9 99Z'/></svg><table class='plate' style='width: 20px; table-layout: "
                    + "fixed'><tr><td>broken_words_here</td></tr></table><p style='break-before: page'>.</p></body></html>",
                    encoding="utf-8")
    problems = check_width(browser, page, 1280) + check_print(browser, page, 2)
    return all(any(words in p for p in problems) for words in ("wide P", "nothing", "broken broken_words", "figure of 99", "is empty"))


def main():
    aplomb, sheet, *files = sys.argv[1:]
    browser = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if not browser:
        print("SKIPPED: no Chromium here; pages are not looked at")
        return SKIPPED
    problems = []
    with tempfile.TemporaryDirectory(prefix="aplomb_browser_") as name:
        folder, probes = pathlib.Path(name), pathlib.Path(name) / "probed"
        probes.mkdir()
        if not sees_what_is_broken(browser, probes):
            problems.append("the probe does not see what is broken")
        pages = [(pathlib.Path(sheet), 9)] if sheet else []
        moments = [(file, "--load", "15kg,right-hand,hang=0.35") for file in files]
        moments += [(files[-1], "--pull", "150N,hands,behind", "--pull", "90N,back,left"),
                    (files[-1], "--stance", "seat=bearing,left-elbow=bearing,right-hand=bearing", "--lines",
                     "--pull", "60N,left-hand,up", "--load", "9kg,back")]
        for number, (file, *more) in enumerate(moments):
            page = folder / f"page{number}.html"
            done = subprocess.run([aplomb, "balance", file, *more, "--page", page],
                                  capture_output=True, text=True, check=False)
            if done.returncode not in (0, 1):
                problems.append(f"{file}: {done.stderr.strip()}")
                continue
            pages.append((page, 2))
        for clip, words, most in SHOTS:
            page = folder / f"shot-{clip}.html"
            done = subprocess.run([aplomb, "read", pathlib.Path(files[0]).with_name("beekeeper_shots.glb"), "--clip", clip,
                                   "--frames", "all", *words.split(), "--page", page],
                                  capture_output=True, text=True, check=False)
            if done.returncode not in (0, 1):
                problems.append(f"{clip}: {done.stderr.strip()}")
                continue
            pages.append((page, most))
        for page, most in pages:
            copy = folder / page.name
            if copy != page:
                shutil.copy(page, copy)
            problems += check(browser, copy, probes, most)
    print("\n".join(problems) or f"{len(pages)} documents, nothing wrong")
    return 1 if problems else 0


sys.exit(main())
