// The public tools that judge what was published: they know nothing of this program.
#pragma once

#include "support/program.h"

#include <string>

namespace tallyboard::test {

// What a shell line prints, errors too, run in a folder where `name` holds `bytes`.
inline Run with_file(const std::string& bytes, const std::string& name, const std::string& line) {
    ScratchFolder folder;
    std::ofstream(folder.path() / name, std::ios::binary) << bytes;
    const std::string out = (folder.path() / "out").string(), err = (folder.path() / "err").string();
    const int status = std::system(("cd '" + folder.path().string() + "' && " + line + " >'" + out + "' 2>'" + err + "'").c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : 128, file_bytes(out), file_bytes(err)};
}

inline std::string pdf_text(const std::string& pdf) { return with_file(pdf, "a.pdf", "pdftotext -layout a.pdf -").output; }

}  // namespace tallyboard::test
