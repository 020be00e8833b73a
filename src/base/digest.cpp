#include "base/digest.h"

#include <openssl/evp.h>
#include <stdexcept>

namespace tallyboard {

std::string sha256(std::string_view bytes) {
    unsigned char digest[EVP_MAX_MD_SIZE];
    unsigned int size = 0;
    if (EVP_Digest(bytes.data(), bytes.size(), digest, &size, EVP_sha256(), nullptr) != 1)
        throw std::runtime_error("SHA-256 is not available on this machine");
    std::string out;
    for (unsigned int i = 0; i < size; ++i) {
        out += "0123456789abcdef"[digest[i] >> 4];
        out += "0123456789abcdef"[digest[i] & 15];
    }
    return out;
}

}  // namespace tallyboard
