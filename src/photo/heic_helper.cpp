// verdigrid-heic: decodes one HEIC photo for the main program, which never loads the decoder
// itself. A crash, a hang or a hunger for memory in here is a refused file there.
#include <fmt/format.h>
#include <libheif/heif.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <string>
#include <vector>

#include "photo/container.h"
#include "photo/heic_protocol.h"

namespace {

using verdigrid::Bytes;
using verdigrid::Container;
using verdigrid::ContainerFault;
using verdigrid::HeicAnswer;

// Beside the picture: code, libraries, the file itself.
constexpr rlim_t k_base_memory_bytes = rlim_t{1} << 30;
// Planes, tiles and interleaved samples together: 24 were measured on a 10-bit picture, 13 on an
// 8-bit one.
constexpr double k_memory_bytes_per_px = 32;
constexpr rlim_t k_cpu_limit_s = 120;

void limit(__rlimit_resource what, rlim_t value) {
  rlimit current{};
  getrlimit(what, &current);
  current.rlim_cur = std::min(value, current.rlim_max);
  setrlimit(what, &current);
}

void restrain() {
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0);
  limit(RLIMIT_CORE, 0);
  limit(RLIMIT_CPU, k_cpu_limit_s);
}

// The address sanitizer reserves terabytes, so its build goes without.
void limit_memory([[maybe_unused]] double pixels) {
#ifndef VERDIGRID_SANITIZED
  limit(RLIMIT_AS, k_base_memory_bytes + static_cast<rlim_t>(pixels * k_memory_bytes_per_px));
#endif
}

Bytes standard_input() {
  Bytes bytes;
  struct stat info {};
  if (fstat(STDIN_FILENO, &info) == 0 && info.st_size > 0)
    bytes.resize(static_cast<size_t>(info.st_size));
  size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t n = read(STDIN_FILENO, bytes.data() + done, bytes.size() - done);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) break;
    done += static_cast<size_t>(n);
  }
  bytes.resize(done);
  return bytes;
}

void send(const void* data, size_t count) {
  const char* at = static_cast<const char*>(data);
  while (count > 0) {
    const ssize_t n = write(STDOUT_FILENO, at, count);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) std::_Exit(EXIT_FAILURE);  // nobody listens any more
    at += n;
    count -= static_cast<size_t>(n);
  }
}

void send_refusal(const std::string& reason) {
  HeicAnswer answer;
  answer.text_bytes = reason.size();
  send(&answer, sizeof answer);
  send(reason.data(), reason.size());
}

void need(const heif_error& result) {
  if (result.code == heif_error_Ok) return;
  const std::string reason = result.message ? result.message : "no reason given";
  if (result.code == heif_error_Unsupported_feature ||
      result.code == heif_error_Unsupported_filetype)
    verdigrid::fault_unsupported(fmt::format("is a HEIC of a kind that is not read ({})", reason));
  verdigrid::fault_damaged(fmt::format("HEIC data: {}", reason));
}

using Context = std::unique_ptr<heif_context, decltype(&heif_context_free)>;
using Handle = std::unique_ptr<heif_image_handle, void (*)(const heif_image_handle*)>;
using Image = std::unique_ptr<heif_image, void (*)(const heif_image*)>;

Bytes profile_of(const heif_image_handle* handle) {
  const size_t count = heif_image_handle_get_raw_color_profile_size(handle);
  if (count == 0 || count > verdigrid::k_metadata_limit_bytes) return {};
  Bytes bytes(count);
  need(heif_image_handle_get_raw_color_profile(handle, bytes.data()));
  return bytes;
}

// The block starts with the offset of its TIFF header: ISO/IEC 23008-12 annex A.2.1.
Bytes exif_of(const heif_image_handle* handle) {
  heif_item_id id = 0;
  if (heif_image_handle_get_list_of_metadata_block_IDs(handle, "Exif", &id, 1) < 1) return {};
  const size_t count = heif_image_handle_get_metadata_size(handle, id);
  if (count < 4 || count > verdigrid::k_metadata_limit_bytes) return {};
  Bytes block(count);
  need(heif_image_handle_get_metadata(handle, id, block.data()));
  size_t skip = 0;
  for (size_t i = 0; i < 4; ++i) skip = skip << 8 | static_cast<size_t>(block[i]);
  if (skip > count - 4) return {};
  return {block.begin() + 4 + static_cast<long>(skip), block.end()};
}

void note_coding(const heif_image_handle* handle, HeicAnswer& answer) {
  heif_color_profile_nclx* raw = nullptr;
  const heif_error result = heif_image_handle_get_nclx_color_profile(handle, &raw);
  if (result.code != heif_error_Ok || !raw) return;
  answer.primaries = static_cast<std::uint32_t>(raw->color_primaries);
  answer.transfer = static_cast<std::uint32_t>(raw->transfer_characteristics);
  heif_nclx_color_profile_free(raw);
}

HeicAnswer answer_for(const heif_image_handle* handle) {
  HeicAnswer answer;
  answer.status = verdigrid::HeicStatus::decoded;
  answer.width_px = static_cast<std::uint32_t>(std::max(0, heif_image_handle_get_width(handle)));
  answer.height_px = static_cast<std::uint32_t>(std::max(0, heif_image_handle_get_height(handle)));
  answer.channels = heif_image_handle_has_alpha_channel(handle) ? 4 : 3;
  const int bits = heif_image_handle_get_luma_bits_per_pixel(handle);
  if (bits < 8 || bits > 16)
    verdigrid::fault_unsupported(fmt::format("is a HEIC with {} bits per channel", bits));
  answer.file_bits = static_cast<std::uint32_t>(bits);
  answer.sample_bits = bits == 8 ? 8 : 16;
  if (answer.channels == 4 && heif_image_handle_is_premultiplied_alpha(handle))
    verdigrid::fault_unsupported("is a HEIC with premultiplied alpha");
  note_coding(handle, answer);
  return answer;
}

heif_chroma layout_for(const HeicAnswer& answer) {
  if (answer.sample_bits == 8)
    return answer.channels == 4 ? heif_chroma_interleaved_RGBA : heif_chroma_interleaved_RGB;
  return answer.channels == 4 ? heif_chroma_interleaved_RRGGBBAA_LE
                              : heif_chroma_interleaved_RRGGBB_LE;
}

Image decoded(const heif_image_handle* handle, const HeicAnswer& answer) {
  const std::unique_ptr<heif_decoding_options, decltype(&heif_decoding_options_free)> options(
      heif_decoding_options_alloc(), &heif_decoding_options_free);
  options->strict_decoding = 1;
  options->convert_hdr_to_8bit = 0;
  heif_image* raw = nullptr;
  need(heif_decode_image(handle, &raw, heif_colorspace_RGB, layout_for(answer), options.get()));
  Image image(raw, &heif_image_release);
  heif_error warning{};
  if (heif_image_get_decoding_warnings(image.get(), 0, &warning, 1) > 0) need(warning);
  if (heif_image_get_width(image.get(), heif_channel_interleaved) !=
          static_cast<int>(answer.width_px) ||
      heif_image_get_height(image.get(), heif_channel_interleaved) !=
          static_cast<int>(answer.height_px))
    verdigrid::fault_damaged("HEIC whose picture has another size than it says");
  return image;
}

void send_rows(const heif_image* image, const HeicAnswer& answer) {
  int stride = 0;
  const std::uint8_t* plane =
      heif_image_get_plane_readonly(image, heif_channel_interleaved, &stride);
  const size_t samples = size_t{answer.width_px} * answer.channels;
  std::vector<std::uint16_t> deep(answer.sample_bits == 16 ? samples : 0);
  const std::uint32_t top = (1U << answer.file_bits) - 1;
  for (std::uint32_t y = 0; y < answer.height_px; ++y) {
    const std::uint8_t* row = plane + size_t{y} * static_cast<size_t>(stride);
    if (deep.empty()) {
      send(row, samples);
      continue;
    }
    for (size_t i = 0; i < samples; ++i) {
      const std::uint32_t v = std::min<std::uint32_t>(top, row[2 * i] | row[2 * i + 1] << 8U);
      deep[i] = static_cast<std::uint16_t>((v * 65535U + top / 2) / top);
    }
    send(deep.data(), 2 * samples);
  }
}

void answer_request(double limit_mp) {
  const Bytes bytes = standard_input();
  limit_memory(0);
  const Context context(heif_context_alloc(), &heif_context_free);
  heif_context_set_max_decoding_threads(context.get(), 2);
  need(heif_context_read_from_memory_without_copy(context.get(), bytes.data(), bytes.size(),
                                                  nullptr));
  heif_image_handle* raw = nullptr;
  need(heif_context_get_primary_image_handle(context.get(), &raw));
  const Handle handle(raw, &heif_image_handle_release);
  HeicAnswer answer = answer_for(handle.get());
  Container container;
  container.width_px = answer.width_px;
  container.height_px = answer.height_px;
  container.channels = static_cast<int>(answer.channels);
  container.bits_per_channel = static_cast<int>(answer.file_bits);
  verdigrid::check_picture_size(container, bytes.size(), limit_mp);
  limit_memory(static_cast<double>(answer.width_px) * answer.height_px);
  const Bytes icc = profile_of(handle.get()), exif = exif_of(handle.get());
  const Image image = decoded(handle.get(), answer);
  answer.icc_bytes = icc.size();
  answer.exif_bytes = exif.size();
  send(&answer, sizeof answer);
  send(icc.data(), icc.size());
  send(exif.data(), exif.size());
  send_rows(image.get(), answer);
}

}  // namespace

int main(int argc, char** argv) {
  const double limit_mp = argc == 2 ? std::atof(argv[1]) : 0;
  if (!(limit_mp > 0)) {
    constexpr const char* k_text =
        "verdigrid-heic is started by verdigrid to read HEIC photos; run verdigrid instead.\n";
    return write(STDERR_FILENO, k_text, std::strlen(k_text)) > 0 ? 2 : 4;
  }
  restrain();
  try {
    answer_request(limit_mp);
  } catch (const ContainerFault& fault) {
    send_refusal(fault.what());
  } catch (const std::bad_alloc&) {
    send_refusal("needs more memory than its size allows. Export it as JPEG.");
  }
  return 0;
}
