"""Opens the page in headless Firefox and holds what it shows there against the program.

usage: firefox.py PAGE.html PATH_TO_UNDERPIN

Firefox speaks WebDriver BiDi (W3C) by itself over a socket; nothing else is needed.
"""

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import websocket

PORT = 9333


class Firefox:
    def __init__(self, profile):
        words = ["firefox-esr", "--headless", "--no-remote", "--profile", profile, "--remote-debugging-port", str(PORT)]
        self.process = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        self.asked = 0
        self.requests = []
        self.socket = self.connect()
        self.ask("session.new", capabilities={})
        self.context = self.ask("browsingContext.getTree")["contexts"][0]["context"]
        self.ask("session.subscribe", events=["network.beforeRequestSent"])

    def connect(self):
        end = time.time() + 60
        while True:
            try:
                return websocket.create_connection(f"ws://127.0.0.1:{PORT}/session", timeout=120, suppress_origin=True)
            except OSError:
                assert time.time() < end and self.process.poll() is None, "Firefox does not answer"
                time.sleep(0.5)

    def ask(self, method, **params):
        self.asked += 1
        self.socket.send(json.dumps({"id": self.asked, "method": method, "params": params}))
        while True:
            answer = json.loads(self.socket.recv())
            if answer.get("method") == "network.beforeRequestSent":
                self.requests.append(answer["params"]["request"]["url"])
            if answer.get("id") == self.asked:
                assert answer["type"] == "success", answer
                return answer["result"]

    def run(self, script):
        """The JSON that a script returns, once it is there."""
        target = {"context": self.context}
        done = self.ask("script.evaluate", expression=f"(async () => JSON.stringify(await ({script})))()",
                        target=target, awaitPromise=True)
        assert done["type"] == "success", done
        return json.loads(done["result"].get("value", "null"))


def told(program, *words):
    return json.loads(subprocess.run([program, *words, "--json"], check=True, capture_output=True, text=True).stdout)


def main():
    page, program = (Path(word).resolve() for word in sys.argv[1:])
    with tempfile.TemporaryDirectory() as profile:
        firefox = Firefox(profile)
        try:
            firefox.ask("browsingContext.navigate", context=firefox.context, url=page.as_uri(), wait="complete")
            end = time.time() + 60
            while not firefox.run("document.documentElement.dataset.ready === 'yes'"):
                assert time.time() < end, firefox.run("document.getElementById('said').textContent")
                time.sleep(0.2)
            held = 0
            for number in range(1, len(firefox.run("about.lessons")) + 1):
                firefox.run(f"(async () => {{ openLesson({number - 1}); await showAnswer(0); return true; }})()")
                shown = firefox.run(
                    "[...document.querySelectorAll('#measured tbody tr')].map((r) => [r.dataset.key, r.dataset.value])")
                figures = told(program, "lesson", str(number))["figures"]
                assert len(shown) == len(figures) > 0, (number, shown)
                for key, figure in shown:
                    wanted = figures[key]
                    assert abs(float(figure) - wanted) <= 1e-6 * max(1, abs(wanted)), (number, key, figure, wanted)
                    held += 1
            asked = [url for url in firefox.requests if not url.startswith(("file:", "data:", "blob:"))]
            assert not asked, f"the page asked for {asked}"
            version = firefox.run("navigator.userAgent.split(' ').pop()")
            print(f"  {version}: {held} figures of lessons are the program's, no request")
        finally:
            firefox.process.terminate()
            firefox.process.wait(30)


main()
