#!/usr/bin/env python3
"""Checks a receipt and a delivery with libraries that have nothing to do with this project.

Starts the service with a key for receipts and a destination on this machine, asks it for a verdict,
and holds the answer against: PyJWT with cryptography (RFC 7515, 8037) for the receipt, rfc8785 for the
digest of the request, and standardwebhooks (the scheme's own library) for the delivery.

Usage: check.py PROGRAM     needs: pip install PyJWT cryptography rfc8785 standardwebhooks
"""
import base64
import hashlib
import http.server
import json
import os
import pathlib
import secrets
import socket
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request

import jwt
import rfc8785
from standardwebhooks.webhooks import Webhook, WebhookVerificationError

REQUEST = {
    "reference": "cart-é", "board": "tarn", "receipt": True, "deliver_to": "tickets",
    "kit": [{"module": "ERW-3R32-4x4", "quantity": 16}],
}
received = []


class Receiver(http.server.BaseHTTPRequestHandler):
    """Keeps what it is sent."""

    def do_POST(self):
        body = self.rfile.read(int(self.headers["content-length"]))
        received.append((dict(self.headers), body))
        self.send_response(202)
        self.end_headers()

    def log_message(self, *_):
        pass


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def ask(url: str, body=None):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(url, data, {"content-type": "application/json"})
    with urllib.request.urlopen(request, timeout=30) as answer:
        return json.load(answer)


def check_receipt(answer: dict, keys: dict) -> None:
    header = jwt.get_unverified_header(answer["receipt"])
    known = {key["kid"]: jwt.PyJWK(key) for key in keys["keys"]}
    claims = jwt.decode(answer["receipt"], known[header["kid"]], algorithms=["EdDSA"])
    decided = {name: value for name, value in REQUEST.items() if name not in ("receipt", "deliver_to")}
    assert claims["request_sha256"] == hashlib.sha256(rfc8785.dumps(decided)).hexdigest()
    for name in ("verdict", "allowed", "board", "catalogue_revision", "engine_version"):
        assert claims[name] == answer[name], name
    head, body, signature = answer["receipt"].split(".")
    other = base64.urlsafe_b64encode(json.dumps({**claims, "allowed": not claims["allowed"]}).encode())
    try:
        jwt.decode(f"{head}.{other.decode().rstrip('=')}.{signature}", known[header["kid"]], algorithms=["EdDSA"])
    except jwt.InvalidSignatureError:
        return
    raise AssertionError("a changed receipt was taken")


def check_delivery(answer: dict, secret: str) -> None:
    assert answer["delivery"] == {"destination": "tickets", "delivered": True, "attempts": 1, "status": 202}
    (headers, body), = received
    headers = {name.lower(): value for name, value in headers.items()}
    sent = Webhook(secret).verify(body, headers)
    assert sent["data"]["verdict"] == answer["verdict"]
    try:
        Webhook(secret).verify(body + b" ", headers)
    except WebhookVerificationError:
        return
    raise AssertionError("a changed delivery was taken")


def main() -> None:
    program = pathlib.Path(sys.argv[1]).resolve()
    receiver = http.server.HTTPServer(("127.0.0.1", 0), Receiver)
    threading.Thread(target=receiver.serve_forever, daemon=True).start()
    secret = "whsec_" + base64.b64encode(secrets.token_bytes(32)).decode()
    with tempfile.TemporaryDirectory() as folder:
        files = {name: os.path.join(folder, name) for name in ("keys", "secret", "outbound")}
        subprocess.run([program, "receipt", "key", files["keys"]], check=True, stdout=subprocess.DEVNULL)
        pathlib.Path(files["secret"]).write_text(secret)
        pathlib.Path(files["outbound"]).write_text(json.dumps({"destinations": [{
            "name": "tickets", "address": f"http://127.0.0.1:{receiver.server_port}/in",
            "private": True, "secret_file": files["secret"],
        }]}))
        port = free_port()
        service = subprocess.Popen([program, "serve", "--port", str(port), "--receipt-keys", files["keys"],
                                    "--outbound", files["outbound"]], stderr=subprocess.DEVNULL)
        base = f"http://127.0.0.1:{port}"
        try:
            for _ in range(100):
                try:
                    ask(f"{base}/health/ready")
                    break
                except OSError:
                    time.sleep(0.1)
            answer = ask(f"{base}/v1/validate", REQUEST)
            check_receipt(answer, ask(f"{base}/.well-known/jwks.json"))
            check_delivery(answer, secret)
        finally:
            service.terminate()
            service.wait()
    print("the receipt and the delivery hold")


main()
