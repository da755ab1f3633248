<#
.SYNOPSIS
Recalculates every field sheet of a folder and keeps the results as JSON.

.DESCRIPTION
Writes RESULTS\NAME.json for each FOLDER\NAME.toml, mistakes included, and prints
tab-separated text: a line of heads and one line per setting (sheet, setting, now,
set, unit, verdict). What is wrong with a sheet goes to the error stream, and the
other sheets are still done. Exit code: 0 all done; 1 done, and a check asked for
did not hold; 2 a sheet could not be calculated.

.EXAMPLE
powershell -ExecutionPolicy Bypass -File examples\recalculate-folder.ps1 demo-data results
#>
param(
    [string] $Folder = 'demo-data',
    [string] $Results = 'results',
    # The program; by its name alone it is looked for on the path.
    [string] $Program = 'alleytrue'
)

if (-not (Get-Command $Program -CommandType Application -ErrorAction SilentlyContinue)) {
    [Console]::Error.WriteLine("${Program}: no such program; give -Program")
    exit 2
}
if (-not (Test-Path -LiteralPath $Folder -PathType Container)) {
    [Console]::Error.WriteLine("${Folder}: no such folder")
    exit 2
}
$sheets = @(Get-ChildItem -LiteralPath $Folder -File |
    Where-Object { $_.Extension -eq '.toml' } | Sort-Object -Property Name)
if ($sheets.Count -eq 0) {
    [Console]::Error.WriteLine("${Folder}: no .toml file in this folder")
    exit 2
}
try {
    $target = (New-Item -ItemType Directory -Force -Path $Results -ErrorAction Stop).FullName
} catch {
    [Console]::Error.WriteLine("${Results}: $_")
    exit 2
}

# The program writes UTF-8, whatever the console was set to.
$utf8 = New-Object System.Text.UTF8Encoding $false
[Console]::OutputEncoding = $utf8
# Numbers with a decimal point, whatever the country of the laptop.
$plain = [Globalization.CultureInfo]::InvariantCulture

Write-Output "sheet`tsetting`tnow`tset`tunit`tverdict"
$worst = 0
foreach ($sheet in $sheets) {
    $text = (& $Program calibrate --format json (Join-Path $Folder $sheet.Name)) -join "`n"
    $code = $LASTEXITCODE
    $worst = [Math]::Max($worst, [Math]::Min([Math]::Abs($code), 2))
    [IO.File]::WriteAllText((Join-Path $target ($sheet.BaseName + '.json')), $text + "`n", $utf8)
    if ($code -ge 2 -or $code -lt 0) { continue }
    $document = $text | ConvertFrom-Json
    foreach ($result in $document.results) {
        foreach ($setting in $result.settings) {
            $set = if ($setting.verdict -eq 'wait') { '' } else { $setting.set }
            $cells = $sheet.Name, $setting.name, $setting.now, $set, $setting.unit, $setting.verdict
            Write-Output (($cells | ForEach-Object { [Convert]::ToString($_, $plain) }) -join "`t")
        }
    }
}
exit $worst
