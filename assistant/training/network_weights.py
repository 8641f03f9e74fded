"""The weights of the speech network out of its files, by the names that its maker gave them, and where each lies."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.onnx_runtime import load_onnxruntime

Floats = NDArray[np.float32]

KINDS = {1: np.float32, 2: np.uint8}
"""Of the numbers in a tensor, by the number that the file has for it. Source: onnx.proto, TensorProto.DataType."""

QUANTISED = ("DynamicQuantizeMatMul", "MatMulIntegerToFloat")
"""Operators whose second input is a matrix of bytes, followed in some order by its scale and zero point."""

_MERGED = re.compile(r"(_merged_\d+|_add_tensor)$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Matrix:
    """A matrix of bytes: (byte - zero) * scale is what it multiplies by. `at`: its first byte in the file."""

    levels: NDArray[np.uint8]
    scale: float
    zero: int
    at: int

    @property
    def values(self) -> Floats:
        """(inputs, outputs)."""
        return np.asarray((self.levels.astype(np.float32) - self.zero) * self.scale, np.float32)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """`matrices`: by the name of what multiplies by them ("layers.0.self_attn.q_proj"). `arrays`: all else by name."""

    matrices: dict[str, Matrix]
    arrays: dict[str, NDArray[Any]]


def read_weights(path: Path) -> Weights:
    """Of one of the two halves of the network, as onnxruntime's own format has them."""
    load_onnxruntime()  # shuts its uploader first
    content = bytearray(path.read_bytes())
    first = np.frombuffer(content, np.uint8).__array_interface__["data"][0]
    schema = import_module("onnxruntime.tools.ort_format_model.ort_flatbuffers_py.fbs.InferenceSession")
    graph = schema.InferenceSession.GetRootAsInferenceSession(content, 0).Model().Graph()
    arrays: dict[str, NDArray[Any]] = {}
    places: dict[str, int] = {}
    inputs: dict[str, list[str]] = {}
    for within in _graphs(graph):
        for tensor in map(within.Initializers, range(within.InitializersLength())):
            if tensor.DataType() in KINDS and tensor.RawDataLength():
                raw = tensor.RawDataAsNumpy()
                shape = [tensor.Dims(place) for place in range(tensor.DimsLength())]
                arrays[tensor.Name().decode()] = raw.view(KINDS[tensor.DataType()]).reshape(shape)
                places[tensor.Name().decode()] = raw.__array_interface__["data"][0] - first
        for node in map(within.Nodes, range(within.NodesLength())):
            if node.OpType().decode() in QUANTISED:
                inputs[_node(node)] = [node.Inputs(place).decode() for place in range(node.InputsLength())]
    matrices = {name: _matrix(given, arrays, places) for name, given in inputs.items()}
    plain = {_MERGED.sub("", name).removeprefix("model.decoder."): values for name, values in arrays.items()}
    return Weights(matrices=matrices, arrays=plain)


def _graphs(graph: Any) -> Iterator[Any]:
    """The graph, and those within it: both ways of the decoder, which multiply by the same matrices."""
    yield graph
    for node in map(graph.Nodes, range(graph.NodesLength())):
        for attribute in map(node.Attributes, range(node.AttributesLength())):
            if attribute.G():
                yield from _graphs(attribute.G())


def _node(node: Any) -> str:
    name: str = node.Name().decode()
    return name.removeprefix("/").removesuffix("/MatMul_quant").removeprefix("model/decoder/").replace("/", ".")


def _matrix(given: list[str], arrays: dict[str, NDArray[Any]], places: dict[str, int]) -> Matrix:
    levels = given[1]
    name = levels.removesuffix("_quantized")
    scale, zero = arrays[f"{name}_scale"], arrays[f"{name}_zero_point"]
    return Matrix(levels=arrays[levels], scale=float(scale), zero=int(zero), at=places[levels])
