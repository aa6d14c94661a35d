// An ONNX file whose weights are kept at half precision, made readable for OpenCV's dnn module,
// which knows only full precision.
#pragma once

#include "base/files.h"

namespace verdigrid {

// The same model with every initializer of type FLOAT16 widened to FLOAT; anything else is passed
// on as it stands. Throws Error{bad_input} where the bytes are no whole message. The parts of the
// wire format that are used: protobuf.dev/programming-guides/encoding, onnx.proto (ModelProto field
// 7 graph, GraphProto field 5 initializer, TensorProto fields 2 data_type and 9 raw_data).
Bytes widened_weights(std::span<const std::byte> onnx);

}  // namespace verdigrid
