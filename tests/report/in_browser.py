"""Opens a report in headless Chromium over WebDriver (W3C Recommendation) and uses it by keyboard.

  in_browser.py REPORT.html PROFILE_FOLDER

Fails unless the page loads without a request to anywhere, every picture has its pixels, the switch hides its layer, the slider moves
the cut, and hostile text stands there as text.
"""
import json
import pathlib
import socket
import subprocess
import sys
import time
import urllib.request

page, profile = sys.argv[1:]
with socket.socket() as s:
    s.bind(("127.0.0.1", 0))
    port = s.getsockname()[1]
driver = subprocess.Popen(["chromedriver", f"--port={port}"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def call(method, path, body=None):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(f"http://127.0.0.1:{port}{path}", data, {"Content-Type": "application/json"}, method=method)
    with urllib.request.urlopen(request, timeout=60) as reply:
        return json.load(reply)["value"]


def wait_for_driver():
    for _ in range(200):
        try:
            return call("GET", "/status")
        except OSError:
            time.sleep(0.1)
    raise SystemExit("chromedriver did not start")


try:
    wait_for_driver()
    flags = ["--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-sync",
             "--disable-component-update", f"--user-data-dir={profile}"]
    session = "/session/" + call("POST", "/session", {"capabilities": {"alwaysMatch": {
        "browserName": "chrome", "goog:chromeOptions": {"args": flags}}}})["sessionId"]

    def script(text):
        return call("POST", session + "/execute/sync", {"script": text, "args": []})

    def press(selector, keys):
        element = next(iter(call("POST", session + "/element", {"using": "css selector", "value": selector}).values()))
        call("POST", f"{session}/element/{element}/value", {"text": keys})

    call("POST", session + "/url", {"url": pathlib.Path(page).absolute().as_uri()})
    assert script("return performance.getEntriesByType('resource').filter(r => !r.name.startsWith('data:')).length") == 0, "asked for more"
    assert script("return [...document.images].every(i => i.complete && i.naturalWidth > 0)"), "a picture is broken"
    assert script("return [...document.images].every(i => i.alt)"), "a picture without words"
    assert "<script>alert(1)</script>" in script("return document.querySelector('main').innerText"), "hostile text is not shown as text"
    assert script("return document.querySelectorAll('script').length") == 1, "another script stands in the page"
    levels = script("return [...document.querySelectorAll('h1,h2,h3')].map(h => +h.tagName[1])")
    assert levels[0] == 1 and all(b - a <= 1 for a, b in zip(levels, levels[1:])), "headings out of order"
    layer = "document.querySelector('.layers .over')"
    assert script(f"return getComputedStyle({layer}).display") != "none"
    press(".layers input", " ")
    assert script(f"return getComputedStyle({layer}).display") == "none", "the switch does not hide its layer"
    before = script("return document.querySelector('.cut').style.clipPath")
    press(".pair input", "\ue014\ue014\ue014")  # arrow right
    assert script("return document.querySelector('.cut').style.clipPath") != before, "the slider does not move"
    call("DELETE", session)
finally:
    driver.terminate()
