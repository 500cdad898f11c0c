"""What a host reads of the VST3 plugin without loading it is what the loaded library says.

Structures and order of calls: VST 3 SDK, pluginterfaces/base/ipluginbase.h.

Usage: factory.py UNDERPIN.vst3
"""

import ctypes
import json
import sys
from pathlib import Path

# IPluginFactory2, as its 16 bytes stand on Linux.
FACTORY_2 = bytes.fromhex("0007B650F24B4C0BA464EDB9F00B2ABB")

# Places in the table of calls.
QUERY, FACTORY_INFO, COUNT, CLASS_INFO_2 = 0, 3, 4, 7


class FactoryInfo(ctypes.Structure):
    _fields_ = [
        ("vendor", ctypes.c_char * 64),
        ("url", ctypes.c_char * 256),
        ("email", ctypes.c_char * 128),
        ("flags", ctypes.c_int32),
    ]


class ClassInfo2(ctypes.Structure):
    _fields_ = [
        ("cid", ctypes.c_ubyte * 16),
        ("cardinality", ctypes.c_int32),
        ("category", ctypes.c_char * 32),
        ("name", ctypes.c_char * 64),
        ("flags", ctypes.c_uint32),
        ("sub_categories", ctypes.c_char * 128),
        ("vendor", ctypes.c_char * 64),
        ("version", ctypes.c_char * 64),
        ("sdk", ctypes.c_char * 64),
    ]


def call(thing, place, *args):
    """The call at a place of the thing's table."""
    table = ctypes.cast(thing, ctypes.POINTER(ctypes.POINTER(ctypes.c_void_p)))[0]
    kinds = [ctypes.c_void_p] + [type(arg) for arg in args]
    return ctypes.CFUNCTYPE(ctypes.c_int32, *kinds)(table[place])(thing, *args)


def address(structure):
    return ctypes.c_void_p(ctypes.addressof(structure))


def told(library):
    """What the library says, in the words of the file."""
    module = ctypes.CDLL(str(library))
    module.ModuleEntry(None)
    module.GetPluginFactory.restype = ctypes.c_void_p
    factory = ctypes.c_void_p(module.GetPluginFactory())
    second, key = ctypes.c_void_p(), ctypes.create_string_buffer(FACTORY_2, 16)
    assert call(factory, QUERY, address(key), address(second)) == 0, "no second factory"
    info = FactoryInfo()
    assert call(factory, FACTORY_INFO, address(info)) == 0
    classes = []
    for index in range(call(factory, COUNT)):
        found = ClassInfo2()
        assert call(second, CLASS_INFO_2, ctypes.c_int32(index), address(found)) == 0
        classes.append(
            {
                "CID": bytes(found.cid).hex().upper(),
                "Category": found.category.decode(),
                "Name": found.name.decode(),
                "Vendor": found.vendor.decode(),
                "Version": found.version.decode(),
                "SDKVersion": found.sdk.decode(),
                "Sub Categories": found.sub_categories.decode().split("|"),
                "Class Flags": found.flags,
                "Cardinality": found.cardinality,
                "Snapshots": [],
            }
        )
    return {
        "Name": classes[0]["Name"],
        "Version": classes[0]["Version"],
        "Factory Info": {
            "Vendor": info.vendor.decode(),
            "URL": info.url.decode(),
            "E-Mail": info.email.decode(),
            "Flags": {
                "Unicode": bool(info.flags & 16),
                "Classes Discardable": bool(info.flags & 1),
                "Component Non Discardable": bool(info.flags & 8),
            },
        },
        "Compatibility": [],
        "Classes": classes,
    }


def main(bundle):
    contents = Path(bundle) / "Contents"
    written = json.loads((contents / "Resources/moduleinfo.json").read_text())
    said = told(next(contents.glob("*/*.so")))
    assert written == said, f"moduleinfo.json says {written}, the library {said}"
    print(f"moduleinfo.json: {len(said['Classes'])} class, as the library says")


if __name__ == "__main__":
    main(*sys.argv[1:])
