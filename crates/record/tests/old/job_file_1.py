"""Writes job-file-1.txt from docs/record-format.md alone: a second hand that the program's files must agree with.

    python3 job_file_1.py > job-file-1.txt
"""

import base64
import hashlib
import json
import struct

JOB = "00112233445566778899aabbccddeeff"


def chained(*fields):
    sha = hashlib.sha256()
    for field in fields:
        octets = field.encode()
        sha.update(struct.pack(">Q", len(octets)) + octets)
    return sha.hexdigest()


def line(thing):
    return json.dumps(thing, separators=(",", ":"), ensure_ascii=False)


heading = chained("clingfish record heading 1", JOB, "Night", "night.toml", "1000", "A. B.")
picture = b"picture"
sha256 = hashlib.sha256(picture).hexdigest()
plan = {"file": {"name": "night.toml", "text": "[rig]\nname = \"night\"\n"}, "parts": []}
entries = [
    ("rig", "", plan, None),
    ("measured", "cup.FL.aft", {"value": "302 mm", "with": "tape"}, None),
    ("photo", "", {"caption": "", "media": "image/jpeg", "sha256": sha256}, None),
    ("measured", "cup.FL.aft", {"value": "312 mm", "with": "tape"}, 2),
    ("note", "", {"text": "wind \u00e4\n\"gusts\" \\"}, None),
    ("reading", "FL", {"vacuum": "80 kPa", "with": "gauge", "pumped": True, "altitude": "310 m"}, None),
    ("torque", "clamp 1", {"value": "50 N m", "with": "wrench"}, None),
    ("weight", "payload", {"value": "62 lb", "with": "scale"}, None),
    ("step", "cups set", {"state": "skipped", "reason": "no roof"}, None),
    ("signature", "cups pumped", {"name": "A. B.", "role": "key grip", "on": heading}, None),
    ("weather", "", {"wind": "12 mph", "rain": "dry"}, None),
    ("verdict", "", {"answer": "NO-GO", "fingerprint": "ab", "program": "p 1", "reasons": ["cup FL lifts"]}, None),
    ("damage", "roof", {"on": "car", "sound": True, "text": "nothing"}, None),
]

print(line({"format": "clingfish-record", "version": 1}))
job = {"id": JOB, "name": "Night", "rig": "night.toml", "at": 1000, "by": "A. B.", "hash": heading}
print(line({"job": job}))
before = heading
for number, (kind, about, value, corrects) in enumerate(entries, 1):
    fields = ["clingfish record entry 1", JOB, str(number), "2000", "A. B.", "phone 1", f"t{number}", kind, about]
    own = chained(*fields, line(value), "" if corrects is None else str(corrects), before)
    entry = {"number": number, "at": 2000, "by": "A. B.", "device": "phone 1", "token": f"t{number}"}
    entry |= {"kind": kind, "about": about, "value": value, "corrects": corrects, "before": before, "hash": own}
    print(line({"entry": entry}))
    before = own
print(line({"blob": {"sha256": sha256, "base64": base64.b64encode(picture).decode()}}))
print(line({"head": {"number": len(entries), "hash": before}}))
